"""Colours: one ink, one accent, a colour-blind-safe set for kinds, and the owner's disc colours.

Kinds take their colours from Okabe & Ito (2008), *Color Universal Design*, and never rely on
them alone: each also has its own hatch, dash or word.
"""

from __future__ import annotations

import re
from types import MappingProxyType

from rimwise.records.colours import COLOURS, SHADES

__all__ = ["DARK", "LIGHT", "OKABE_ITO", "disc_colour", "picture_css"]

#: Okabe & Ito (2008), the eight colours.
OKABE_ITO = MappingProxyType(
    {
        "black": "#000000",
        "orange": "#e69f00",
        "sky blue": "#56b4e9",
        "bluish green": "#009e73",
        "yellow": "#f0e442",
        "blue": "#0072b2",
        "vermillion": "#d55e00",
        "reddish purple": "#cc79a7",
    }
)

#: Names of paints and their colours on paper; drawings carry these, a page may override them.
LIGHT = MappingProxyType(
    {
        "paper": "#fcfbf7",
        "ink": "#191815",
        "quiet": "#4c4a44",
        "faint": "#a5a198",
        "shade": "#eae6da",
        "accent": "#9a4300",
        "water": OKABE_ITO["blue"],
        "wood": OKABE_ITO["bluish green"],
        "out": OKABE_ITO["reddish purple"],
        "one": OKABE_ITO["black"],
        "two": OKABE_ITO["blue"],
        "three": OKABE_ITO["vermillion"],
        "four": OKABE_ITO["bluish green"],
        "five": OKABE_ITO["reddish purple"],
    }
)

#: The same paints after dark.
DARK = MappingProxyType(
    {
        **LIGHT,
        "paper": "#161613",
        "ink": "#f3f1ea",
        "quiet": "#c5c1b6",
        "faint": "#76736a",
        "shade": "#2c2b26",
        "accent": "#ffa45c",
        "water": OKABE_ITO["sky blue"],
        "one": "#f3f1ea",
        "two": OKABE_ITO["sky blue"],
    }
)

_UNKNOWN_GREY = "#9b9b9b"


def disc_colour(words: str) -> str:
    """Return a colour for the owner's colour words; a middle grey where none is known.

    The word itself always stands beside the colour, so an unknown one loses nothing.
    """
    found = [word for word in re.findall(r"[a-z]+", words.lower()) if word in COLOURS]
    shades = [word for word in found if word in SHADES]
    chosen = (shades or found)[-1:]
    return COLOURS[chosen[0]] if chosen else _UNKNOWN_GREY


def picture_css() -> str:
    """Return the style rules that let drawings follow a page from light to dark.

    Printing is always light.
    """
    rules = [f".s-{name}{{stroke:var(--{name})}}.f-{name}{{fill:var(--{name})}}" for name in LIGHT]
    return (
        f":root{{{_variables(LIGHT)};color-scheme:light dark}}"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}}}"
        "@media print{:root{--paper:#fff;color-scheme:light}}"
        f"{''.join(rules)}"
    )


def _variables(paints: MappingProxyType[str, str]) -> str:
    return ";".join(f"--{name}:{colour}" for name, colour in paints.items())
