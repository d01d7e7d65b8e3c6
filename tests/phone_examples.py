"""A small file for the phone, made up without any solving: two holes, 25 winds, a few lies."""

from __future__ import annotations

import math

from rimwise.app.tee_telling import (
    aim_words,
    chances_words,
    compared_words,
    landing_said,
    line_words,
)
from rimwise.decide.lines import Base
from rimwise.decide.report import AreaShape
from rimwise.pictures.phone_packing import rounded
from rimwise.pictures.phone_scene import (
    PhoneAnswer,
    PhoneBase,
    PhoneDisc,
    PhoneFile,
    PhoneHole,
    PhoneLie,
    PhoneThrow,
    PhoneTold,
    PhoneWind,
)
from rimwise.records.thrower import Style
from rimwise.records.words import Units, wind_words

#: Names that would do harm where they are not escaped, and one written from right to left.
HOSTILE = ("</script><script>alert(1)</script>\"'&", "\u202eevil\u202c 🥏 <b>bold</b> ${x}")
BASES = (Base(Style.BACKHAND, 0.0, 10.0), Base(Style.FOREHAND, 12.0, 7.0))
WINDS = tuple(
    PhoneWind(n, side, speed, wind_words(speed))
    for n, speed in enumerate((0.0, 3.0, 6.0, 9.0))
    for side in ([45.0 * s for s in range(8)] if speed else [0.0])
)
EXPECTED = 16  # 6 m/s from the north-west
POND = AreaShape("water", "mill <pond>", ((30.0, 4.0), (60.0, 6.0), (58.0, 28.0), (33.0, 26.0)), ())


def throw(n: int, wind: int, lie: tuple[float, float] = (0.0, 0.0), **other: object) -> PhoneThrow:
    """Return a throw whose numbers differ by choice, wind and lie."""
    turn = 0.02 * wind - 0.2 + 0.3 * n
    values: dict[str, object] = {
        "disc": n, "base": n % 2, "effort": (1.0, 0.75, 0.85)[n], "rise_m": 1.5 + 2.5 * n,
        "turn_rad": turn, "end_m": (lie[0] + 62.3 - 4 * n, lie[1] + 20.0 * math.sin(turn)),
        "bends_m": (0.5, 1.25, 1.5, 1.0), "centre_m": (lie[0] + 66.0 - 4 * n, lie[1] + 3.0 * n),
        "dots_m": tuple((lie[0] + 60.0 + i, lie[1] + 2.5 * ((i * 7) % 5 - 2)) for i in range(12)),
        "short_m": 12.5 - 13.2 * n, "short_half_m": 6.25, "left_m": 3.4 - 4.0 * n,
        "left_half_m": 5.5, "putt_next": 0.62, "penalty": (0.0, 0.044, 0.1)[n],
        "water": (0.0, 0.044, 0.04)[n], "trees": (0.0, 0.02, 0.0)[n], "gone": (0.0, 0.002, 0.03)[n],
        "strokes": 2.9 + 0.01 * wind + 0.05 * n, "strokes_se": 0.04,
        "better": 0.05 if n == 0 else None, "better_se": (0.01, None)[min(n, 1)],
    }  # fmt: skip
    return rounded(PhoneThrow(**(values | other)))  # type: ignore[arg-type]


def told(one: PhoneThrow, length_m: float, label: str, units: Units = "m") -> PhoneTold:
    """Say a throw from the tee as the owner of the file is told it."""
    return PhoneTold(
        label,
        line_words(BASES[one.base], one.effort, one.rise_m, ["backhand", "forehand"], units),
        aim_words(one.turn_rad, length_m, units),
        landing_said(one.short_m, one.short_half_m, one.left_m, one.left_half_m, units),
        chances_words(one),
        compared_words(one),
    )


def hole(
    ref: str, length_m: float, labels: tuple[str, ...], units: Units = "m", *, count: int = 2
) -> PhoneHole:
    """Return a hole with the tee and three more lies; the last of them asks for a putt."""
    lies = (
        PhoneLie(0.0, 0.0, ""), PhoneLie(20.0, 0.0, ""), PhoneLie(40.0, -15.0, "without a run-up"),
        PhoneLie(length_m - 12.0, 0.0, ""),
    )  # fmt: skip
    answers = tuple(
        tuple(
            PhoneAnswer(0.4, ())
            if n == 3
            else PhoneAnswer(None, tuple(throw(k, w, (lie.x_m, lie.y_m)) for k in range(count)))
            for n, lie in enumerate(lies)
        )
        for w in range(len(WINDS))
    )
    said = tuple(
        tuple(told(one, length_m, labels[one.disc], units) for one in answer[0].throws)
        for answer in answers
    )
    return PhoneHole(ref, "", 3, length_m, 30.0, (POND,), lies, answers, said)


def phone_file(
    labels: tuple[str, ...] = ("NH 27 blue", "OL 5 grey"), units: Units = "m"
) -> PhoneFile:
    """Return the file."""
    ids = ("nh27-blue", "ol5-grey")
    return PhoneFile(
        course="Two Holes", conditions="winter", day="raw", made_on="2026-11-26", units=units,
        air="-3C wet frozen ground", air_words="\u22123 °C, wet, frozen ground",
        foreseen="moderate breeze 6 m/s from NNW", expected=EXPECTED, one_style=False,
        discs=tuple(PhoneDisc(*one) for one in zip(ids, labels, strict=True)),
        bases=tuple(PhoneBase(str(b.style), b.hyzer_deg, b.launch_deg) for b in BASES),
        winds=WINDS, holes=(hole("1", 88.0, labels, units), hole("2A", 62.5, labels, units)),
        putts=tuple(round(math.exp(-d / 9.0), 3) for d in range(23)),
        about=("Made up for a test.",),
    )  # fmt: skip
