"""What owners call the colours of their discs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["COLOURS", "SHADES", "is_colour"]

#: Colour words and what they look like, as sRGB; the last one found in a description counts.
COLOURS: Mapping[str, str] = MappingProxyType(
    {
        "amber": "#ffb000", "aqua": "#3fd0d4", "beige": "#d9c8a5", "black": "#26241f",
        "blue": "#2767c4", "bronze": "#a1713a", "brown": "#7a5230", "burgundy": "#7b1d3a",
        "charcoal": "#45454a", "clear": "#eef1f0", "copper": "#b4652f", "coral": "#ff7f66",
        "cream": "#f5ecd0", "cyan": "#25c1d9", "gold": "#d6a520", "gray": "#8d8d8d",
        "green": "#2f9a45", "grey": "#8d8d8d", "indigo": "#3d3a94", "ivory": "#f6f0dc",
        "khaki": "#b5a96a", "lavender": "#b9a5e0", "lemon": "#f7e948", "lilac": "#c3a1d8",
        "lime": "#a6d930", "magenta": "#d12f9c", "maroon": "#7a1f2b", "mint": "#9fe0bf",
        "moss": "#6f7d3a", "mustard": "#cfa427", "navy": "#1d2f63", "olive": "#7f7d2c",
        "orange": "#f0811a", "peach": "#fbbf95", "pink": "#f285b4", "purple": "#7a3fa8",
        "red": "#cf2a2e", "rose": "#e8618c", "rust": "#a94a23", "salmon": "#f7937e",
        "sand": "#dcc79a", "scarlet": "#d8241f", "silver": "#bfc3c7", "sky": "#7cc4ee",
        "smoke": "#75777a", "tan": "#c9a878", "teal": "#168a8a", "turquoise": "#35c3b6",
        "violet": "#7b53c1", "white": "#fdfdfb", "wine": "#76203b", "yellow": "#f5d91f",
    }
)  # fmt: skip

#: Words that decide a shade although another colour word follows ("sky blue", "moss green").
SHADES = frozenset({"lime", "mint", "moss", "navy", "olive", "sky"})

#: Words that stand beside colours in a description.
_BESIDE = frozenset(
    {
        *("&", "and", "bright", "camo", "camouflage", "dark", "deep", "faded", "glow", "hot"),
        *("light", "marbled", "milky", "neon", "opaque", "pale", "pastel", "swirly"),
        *("translucent", "transparent", "with"),
    }
)


def is_colour(word: str) -> bool:
    """Return whether a word is a colour ("blue-grey"), or stands beside colours ("dark")."""
    bare = word.casefold()
    parts = bare.replace("/", "-").split("-")
    return bare in _BESIDE or all(part in COLOURS or part in _BESIDE for part in parts)
