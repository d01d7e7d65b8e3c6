"""How much more often a disc is lost on some day than on green ground in good light.

None of this was measured: the factors are assumptions, and colours are matched by their English
names as the owner writes them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rimwise.records.assumptions import Assumptions

__all__ = ["hidden_in", "loss_factors"]

#: Colours that lie hidden in each kind of cover (common practice, no source).
_HIDDEN = {
    "green": {"green", "lime", "olive", "khaki"},
    "bare": {"brown", "black", "grey", "gray", "olive", "khaki", "tan", "bronze"},
    "leaves": {
        *("brown", "red", "orange", "yellow", "gold", "tan", "bronze", "copper", "maroon"),
        *("camouflage", "camo"),
    },
    "snow": {"white", "clear", "silver", "grey", "gray", "transparent"},
}


def hidden_in(colour: str, cover: str) -> bool:
    """Say whether a disc of this colour lies hidden in this cover.

    Of several words the last is the colour: "bright orange", "blue-green". An unknown word is
    never hidden.
    """
    words: list[str] = re.findall(r"[a-z]+", colour.casefold())
    return bool(words) and words[-1] in _HIDDEN.get(cover, set())


def loss_factors(
    colours: Sequence[str], cover: str, assume: Assumptions, *, dusk: bool = False
) -> NDArray[np.float64]:
    """Return by how much the chance to lose each disc grows; shape (discs,).

    Parameters
    ----------
    colours
        As the owner calls them; empty where unknown.
    cover
        A name of :class:`rimwise.records.conditions.Cover`.
    dusk
        Whether the light is poor.
    """
    season = {
        "bare": assume.bare_loss,
        "leaves": assume.leaves_loss,
        "snow": assume.snow_loss,
    }.get(cover, 1.0)
    light = assume.dusk_loss if dusk else 1.0
    hidden = np.array([hidden_in(colour, cover) for colour in colours], dtype=np.bool_)
    return np.asarray(season * light * np.where(hidden, assume.hidden_colour_loss, 1.0))
