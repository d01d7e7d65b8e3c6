"""Colours against the publication they come from, and against WCAG 2.2."""

from __future__ import annotations

import pytest

from rimwise.pictures.hole import CHOICES
from rimwise.pictures.palette import DARK, LIGHT, OKABE_ITO

# Okabe & Ito (2008), Color Universal Design, figure 16: red, green, blue from 0 to 255.
PUBLISHED = {
    "black": (0, 0, 0),
    "orange": (230, 159, 0),
    "sky blue": (86, 180, 233),
    "bluish green": (0, 158, 115),
    "yellow": (240, 228, 66),
    "blue": (0, 114, 178),
    "vermillion": (213, 94, 0),
    "reddish purple": (204, 121, 167),
}

AA_LARGE_OR_GRAPHIC, AA_TEXT, AAA_TEXT = 3.0, 4.5, 7.0


def channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definitions)."""
    parts = [c / 255 for c in channels(colour)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definitions)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_itself() -> None:
    """Black on white is 21:1; #767676 on white is the well-known edge of AA (4.54:1)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


def test_okabe_and_ito() -> None:
    assert {name: channels(colour) for name, colour in OKABE_ITO.items()} == PUBLISHED


@pytest.mark.parametrize("paints", [LIGHT, DARK], ids=["light", "dark"])
def test_all_text_is_aaa(paints: dict[str, str]) -> None:
    for ground in ("paper", "shade"):
        for text in ("ink", "quiet"):
            assert contrast(paints[text], paints[ground]) >= AAA_TEXT, (text, ground)


@pytest.mark.parametrize("paints", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_that_carry_meaning_stand_out(paints: dict[str, str]) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for graphics. Out-of-bounds hatching (reddish purple) has a dashed
    ink edge and its name beside it, so its own contrast does not carry the meaning."""
    for line in ("accent", "water", "wood", "one", "two", "three", "four"):
        assert contrast(paints[line], paints["paper"]) >= AA_LARGE_OR_GRAPHIC, line
    assert contrast(paints["accent"], paints["paper"]) >= AA_TEXT


@pytest.mark.parametrize("paints", [LIGHT, DARK], ids=["light", "dark"])
def test_every_choice_of_a_throw_stands_out_by_itself(paints: dict[str, str]) -> None:
    """WCAG 2.2, 1.4.11, on paper and over the shade of a landing."""
    for paint, _ in CHOICES:
        for ground in ("paper", "shade"):
            assert contrast(paints[paint], paints[ground]) >= AA_LARGE_OR_GRAPHIC, (paint, ground)


def test_the_second_and_third_choice_are_of_the_published_colours() -> None:
    """The first is the accent; what stands beside it is apart from it, and from each other."""
    assert {LIGHT[paint] for paint, _ in CHOICES[1:]} <= set(OKABE_ITO.values())
    assert len({dashes for _, dashes in CHOICES}) == len({paint for paint, _ in CHOICES}) == 3
