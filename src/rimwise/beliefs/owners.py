"""Invented owners with a known truth, to hold beliefs against."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import FELT
from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.beliefs.imagined import felt_truth, imagine_comparison, imagine_throws
from rimwise.beliefs.learn import level_scatter
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.unknowns import Unknowns, unknowns_of
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import ScenarioDay
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.evidence import Comparison, Throw
from rimwise.records.thrower import Hand, Level, Line, Style, StyleSkill, Thrower

__all__ = ["LINES", "Owner", "imagine_owner"]

Floats = NDArray[np.float64]

#: Molds to draw from, by printed numbers; all invented.
MOLDS = (
    (2, 3, 0, 1), (3, 4, -1, 0), (3, 3, 0, 1), (4, 2, 0, 3), (4, 3, 0, 2), (4, 5, -1, 1),
    (5, 4, -1, 1), (5, 3, 0, 3), (5, 5, -3, 0), (6, 5, -2, 1), (6, 4, -1, 1.5), (7, 5, -1, 2),
    (7, 4, 0, 3), (7, 6, -3, 1), (8, 5, -2, 1), (9, 5, -1, 2), (9, 4, 0, 3.5), (10, 5, -1, 2.5),
    (11, 5, -2, 2), (12, 5, -1, 3),
)  # fmt: skip
#: Lines thrown, and how often.
LINES = (
    (Line(Style.BACKHAND, 5.0, 10.0, 1.0), 0.5),
    (Line(Style.BACKHAND, 0.0, 10.0, 0.75), 0.25),
    (Line(Style.FOREHAND, 5.0, 10.0, 0.9), 0.15),
    (Line(Style.BACKHAND, 15.0, 12.0, 0.9), 0.1),
)
DAYS = {
    "mild": ScenarioDay("mild", 1.0, 18.0, 1013.0, 0.6, 0.0, 0.0),
    "frost": ScenarioDay("frost", 1.0, 2.0, 1020.0, 0.8, 0.0, 0.0),
}
FIRST_DAY = date(2025, 1, 1)


@dataclass(frozen=True, eq=False)
class Owner:
    """An owner, their evidence, and what is true: ``u`` (D,) and ``scatter`` (S, 5)."""

    fleet: Fleet
    thrower: Thrower
    assume: Assumptions
    unknowns: Unknowns
    u: Floats
    scatter: Floats
    evidence: Evidence

    def felt(self) -> Floats:
        """Return the true finish (degrees) and reach (m) of every disc, (n, 2)."""
        return felt_truth(self.unknowns, self.u)


def imagine_owner(
    seed: int,
    *,
    discs: int = 8,
    throws: int = 40,
    comparisons: int = 10,
    truth: str = "prior",
    shank_chance: float = 0.05,
    assume: Assumptions | None = None,
) -> Owner:
    """Draw an owner from the prior, and evidence from the owner.

    Parameters
    ----------
    truth
        ``"prior"``; or a truth that the prior does not expect: ``"numbers"`` (every fourth mold
        three prior standard deviations off in turn), ``"plastic"`` (a plastic shifts all its
        discs by 1.5), ``"pulled"`` (shanks leave 18° to a side, as far as other throws),
        ``"liar"`` (a tenth of the comparisons is turned about).
    shank_chance
        Share of throws that come down anywhere about; not for ``"pulled"``, which has 5 %.
    """
    assume = assume or Assumptions()
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0x0BE11EF,)))
    fleet, thrower = _belongings(random, discs, assume)
    unknowns = unknowns_of(fleet, thrower, assume)
    u = random.standard_normal(len(unknowns))
    weight = assume.scatter_weight
    spread = 0.5 * weight / random.gamma(0.5 * weight, size=(len(unknowns.arms), 5))
    scatter = level_scatter(unknowns) * np.sqrt(spread)
    _surprise(truth, unknowns, u)
    asked = _asked(random, fleet, throws)
    pulled = truth == "pulled"
    thrown = imagine_throws(
        unknowns, u, scatter, asked, random, shank_chance=0.0 if pulled else shank_chance
    )
    if pulled:
        thrown = tuple(_pulled(throw, random) for throw in thrown)
    answers = _answers(random, unknowns, felt_truth(unknowns, u), comparisons, truth == "liar")
    evidence = replace(asked, throws=thrown, comparisons=answers)
    return Owner(fleet, thrower, assume, unknowns, u, scatter, evidence)


def _belongings(
    random: np.random.Generator, count: int, assume: Assumptions
) -> tuple[Fleet, Thrower]:
    molds, plastics = _catalogue()
    discs = [
        Disc(
            id=f"disc {i}",
            mold=f"mold {random.integers(len(MOLDS))}",
            plastic=f"plastic {random.integers(len(plastics))}",
            weight=Weight(float(random.integers(160, 178)), 2.0),
            wear=float(random.choice([0.0, 0.2, 0.5, 0.8])),
        )
        for i in range(count)
    ]
    level = Level.RECREATIONAL if random.random() < 0.5 else Level.INTERMEDIATE
    thrower = Thrower(
        "invented",
        Hand.LEFT if random.random() < 0.2 else Hand.RIGHT,
        (
            StyleSkill(Style.BACKHAND, float(random.choice([65.0, 80.0, 95.0, 110.0])), level),
            StyleSkill(Style.FOREHAND, 60.0, level),
        ),
        stock=LINES[0][0],
    )
    return build_fleet(discs, molds, plastics, assume), thrower


@lru_cache(maxsize=1)
def _catalogue() -> tuple[dict[str, Mold], dict[str, Plastic]]:
    molds = {f"mold {k}": Mold(f"mold {k}", Printed(*numbers)) for k, numbers in enumerate(MOLDS)}
    grip = Grip(3.0, 2.0, 4.0, 3.0)
    plastics = {
        f"plastic {k}": Plastic(f"plastic {k}", grip, stability_shift=0.3 * (k - 1))
        for k in range(4)
    }
    return molds, plastics


def _surprise(truth: str, unknowns: Unknowns, u: Floats) -> None:
    """Change a truth into one that the prior does not expect."""
    for i, (kind, name, part) in enumerate(unknowns.names):
        number = name.rsplit(" ", 1)[-1]
        if truth == "numbers" and kind == "mold" and part == 2 and int(number) % 4 == 0:
            u[i] = 3.0 if u[i] > 0 else -3.0
        if truth == "plastic" and (kind, name) == ("plastic", "plastic 1"):
            u[i] = 1.5 / 0.15  # over the sd of turn and of fade


def _asked(random: np.random.Generator, fleet: Fleet, count: int) -> Evidence:
    share = [share for _, share in LINES]
    throws = tuple(
        Throw(
            on=FIRST_DAY + timedelta(days=i // 12),
            disc_id=fleet.ids[random.integers(len(fleet))],
            line=LINES[random.choice(len(LINES), p=share)][0],
            distance_m=50.0,
            left_m=0.0,
            conditions="frost" if (i // 12) % 3 == 2 else "mild",
        )
        for i in range(count)
    )
    return Evidence(throws, days=DAYS)


def _pulled(throw: Throw, random: np.random.Generator) -> Throw:
    if random.random() >= 0.05:
        return throw
    turn = np.radians(18.0) * random.choice((-1.0, 1.0))
    c, s = np.cos(turn), np.sin(turn)
    x, y = throw.distance_m, throw.left_m
    return replace(throw, distance_m=float(c * x - s * y), left_m=float(s * x + c * y))


def _answers(
    random: np.random.Generator, unknowns: Unknowns, felt: Floats, count: int, liar: bool
) -> tuple[Comparison, ...]:
    """Ask about pairs until enough differences were felt."""
    ids = unknowns.fleet.ids
    answers: list[Comparison] = []
    while len(answers) < count:
        one, two = random.choice(len(ids), 2, replace=False)
        quality = FELT[0 if random.random() < 0.7 else 1]
        asked = Comparison(FIRST_DAY, ids[one], ids[two], quality)
        lies = liar and random.random() < 0.1
        answer = imagine_comparison(asked, felt, ids, unknowns, random, lies=lies)
        if answer is not None:
            answers.append(answer)
    return tuple(answers)
