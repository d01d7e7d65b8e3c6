"""Evidence as numbers: what was thrown, felt and graded, in arrays that the likelihoods take."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.arm import line_scatter_factor
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.unknowns import Unknowns
from rimwise.errors import InputError
from rimwise.flight.air import Air
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import ScenarioDay
from rimwise.records.evidence import Comparison, ConditionGrade, GripGrade, Quality, Throw

__all__ = ["OBSERVED", "Evidence", "ThrowTable", "throw_table", "wide_of"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: What may be seen of one throw: rest along and left of the aim line (m), distance to the
#: first touch (m), logarithms of measured speed and spin.
OBSERVED = ("rest x", "rest y", "first touch", "log speed", "log spin")
#: The day meant when a throw names none that is known: mild, calm, sea level, firm ground.
PLAIN_DAY = ScenarioDay("plain", 1.0, 18.0, 1013.25, 0.6, 0.0, 0.0)
#: Farther than this from where it was meant to go, a landing is no throw of this line at all.
_WIDE_SHARE, _WIDE_M = 0.35, 8.0


@dataclass(frozen=True)
class Evidence:
    """Everything the owner recorded that beliefs learn from.

    Parameters
    ----------
    days
        Known days by name, for the ``conditions`` of throws. A throw of an unknown day is
        taken as thrown on a mild, calm one.
    wear
        How worn a disc was on a day, by its name and the day, where its use is on record.
    older_throws
        Throws on record that are too old to be among these.
    """

    throws: tuple[Throw, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    grip_grades: tuple[GripGrade, ...] = ()
    condition_grades: tuple[ConditionGrade, ...] = ()
    days: Mapping[str, ScenarioDay] = field(default_factory=dict)
    wear: Mapping[tuple[str, date], float] = field(default_factory=dict)
    older_throws: int = 0

    def __len__(self) -> int:
        return len(self.throws) + len(self.comparisons) + len(self.grip_grades)

    def plus(self, *throws: Throw) -> Evidence:
        """Return this evidence with throws added at the end."""
        return replace(self, throws=self.throws + throws)

    def worn(self, disc_id: str, on: date, today: float) -> float:
        """Return the wear of a disc on a day.

        As on record; else straight between the condition grades around the day, and level
        before the first and after the last; without any it is ``today``'s.
        """
        if (disc_id, on) in self.wear:
            return self.wear[disc_id, on]
        own = sorted(
            (grade.on.toordinal(), grade.wear)
            for grade in self.condition_grades
            if grade.disc_id == disc_id
        )
        if not own:
            return today
        days, wear = zip(*own, strict=True)
        return float(np.interp(on.toordinal(), days, wear))

    def fingerprint(self) -> str:
        """Return a digest of every record, in order; it changes with any of them."""
        used = sorted({throw.conditions for throw in self.throws} & set(self.days))
        parts = (
            self.throws,
            self.comparisons,
            self.grip_grades,
            self.condition_grades,
            [self.days[name] for name in used],
            sorted(self.wear.items()),
        )
        return hashlib.sha256(repr(parts).encode()).hexdigest()


@dataclass(frozen=True, eq=False)
class ThrowTable:
    """Throws as arrays of one length T.

    ``disc``, ``style`` (T,) positions in the fleet and among the arms; ``wear`` (T,) of the disc
    on that day; ``cold_c`` (T,) degrees that cost speed; ``speed_factor`` (T,) effort, cold and
    grip together; ``width`` (T,) scatter against the stock throw; ``launch_rad``, ``hyzer_rad``
    (T,) as intended; ``density_kg_m3``, ``ground`` (T,) of the day; ``seen`` (T, 5) as
    :data:`OBSERVED`, NaN where not seen; ``noise`` (T, 5) its standard deviations; ``wide``
    (T,) the log density of a throw that says nothing.
    """

    disc: Integers
    style: Integers
    wear: Floats
    cold_c: Floats
    speed_factor: Floats
    width: Floats
    launch_rad: Floats
    hyzer_rad: Floats
    density_kg_m3: Floats
    ground: tuple[str, ...]
    seen: Floats
    noise: Floats
    wide: Floats

    def __len__(self) -> int:
        return len(self.disc)


def throw_table(evidence: Evidence, unknowns: Unknowns, grip: Floats) -> ThrowTable:
    """Turn recorded throws into arrays.

    Parameters
    ----------
    grip
        Believed grades (n, 4) of the fleet's discs, in the order of ``AIR_KINDS``.

    Raises
    ------
    InputError
        When a throw is of a disc or style that is not among these.
    """
    thrower, assume, fleet = unknowns.thrower, unknowns.assume, unknowns.fleet
    count = len(evidence.throws)
    disc, style = np.empty(count, dtype=np.int64), np.empty(count, dtype=np.int64)
    numbers = np.empty((count, 7))
    seen, noise = np.full((count, 5), np.nan), np.ones((count, 5))
    wide = np.empty(count)
    ground: list[str] = []
    air: dict[str, float] = {}
    for i, throw in enumerate(evidence.throws):
        disc[i] = place_of(throw.disc_id, fleet)
        if throw.line.style not in unknowns.styles:
            raise InputError(
                f"the throw of {throw.on} with {throw.disc_id} is a {throw.line.style}, "
                f"but no {throw.line.style} distance is given; add one to the thrower."
            )
        style[i] = unknowns.styles.index(throw.line.style)
        day = evidence.days.get(throw.conditions, PLAIN_DAY)
        if day.name not in air:
            moist = Air(day.temperature_c, day.pressure_hpa, day.relative_humidity)
            air[day.name] = float(moist.density_kg_m3)
        slack = slack_of(grip_felt(day, grip[disc[i]], assume.cold_below_c, assume.hot_above_c))
        cold = thrower.cold_arm.speed_factor(day.temperature_c)
        capped = 1.0 - cold >= thrower.cold_arm.most
        numbers[i] = (
            evidence.worn(throw.disc_id, throw.on, float(fleet.wear[disc[i]])),
            0.0 if capped else max(0.0, thrower.cold_arm.comfortable_c - day.temperature_c),
            throw.line.effort * cold * (1.0 - assume.poor_grip_speed_loss * slack),
            line_scatter_factor(thrower.stock, throw.line, assume)
            * (1.0 + assume.poor_grip_scatter * slack),
            math.radians(throw.line.launch_deg),
            math.radians(throw.line.hyzer_deg),
            air[day.name],
        )
        ground.append(str(day.ground.value))
        seen[i], noise[i] = _seen(throw, day, assume)
        away_m = max(math.hypot(throw.distance_m, throw.left_m), 20.0)
        wide[i] = _wide(seen[i], float(wide_of(away_m)))
    wear, cold_c, speed_factor, width, launch_rad, hyzer_rad, density = numbers.T
    return ThrowTable(
        disc, style, wear, cold_c, speed_factor, width, launch_rad, hyzer_rad, density,
        tuple(ground), seen, noise, wide,
    )  # fmt: skip


def grip_felt(day: ScenarioDay, grades: Floats, cold_below_c: float, hot_above_c: float) -> float:
    """Return the grip grade felt on a day: the kinds of air blend over 8 °C at each limit."""
    cold = float(np.clip(0.5 + (cold_below_c - day.temperature_c) / 8.0, 0.0, 1.0))
    hot = float(np.clip(0.5 + (day.temperature_c - hot_above_c) / 8.0, 0.0, 1.0))
    warm = 1.0 - cold - hot
    kinds = (0.0, cold + warm, 0.0, hot) if day.wet else (cold, 0.0, warm, hot)
    return float(grades @ np.array(kinds))


def slack_of(grade: float) -> float:
    """Return how much of a poor grip's harm a grade brings, 0 (sure) to 1 (slips)."""
    return float(np.clip((5.0 - grade) / 4.0, 0.0, 1.0)) ** 2


def place_of(disc_id: str, fleet: Fleet) -> int:
    """Return the position of a disc that there is evidence for.

    Raises
    ------
    InputError
        When it is not in the fleet.
    """
    if disc_id not in fleet.ids:
        raise InputError(
            f"there is evidence for {disc_id!r}, which is not among the {len(fleet)} discs; "
            "give the records of that disc too, or delete the evidence."
        )
    return fleet.ids.index(disc_id)


def _seen(throw: Throw, day: ScenarioDay, assume: Assumptions) -> tuple[list[float], list[float]]:
    """Return what was seen of a throw and its errors, as :data:`OBSERVED`."""
    away_m = math.hypot(throw.distance_m, throw.left_m)
    blown_m = assume.unknown_wind_share * away_m * day.wind_speed_m_s
    error_m = math.hypot(assume.paced_noise_m, assume.paced_noise_share * away_m, blown_m)
    touch = math.nan if throw.first_touch_m is None else throw.first_touch_m
    speed = math.nan if throw.speed_m_s is None else math.log(throw.speed_m_s)
    spin = math.nan if throw.spin_rad_s is None else math.log(throw.spin_rad_s)
    return (
        [throw.distance_m, throw.left_m, touch, speed, spin],
        [error_m] * 3 + [assume.measured_speed_noise, assume.measured_spin_noise],
    )


def wide_of(away_m: float | Floats) -> float | Floats:
    """Return how far to each side a throw that says nothing may come down, m."""
    return _WIDE_M + _WIDE_SHARE * away_m


def _wide(seen: Sequence[float] | Floats, spread_m: float) -> float:
    """Log density of what was seen when it says nothing: flat over a wide square."""
    flat = -np.log(np.array([2.0 * spread_m, 2.0 * spread_m, 2.0 * spread_m, 0.4, 0.6]))
    return float(flat[~np.isnan(seen)].sum())


def compared(evidence: Evidence, quality: Quality) -> tuple[Comparison, ...]:
    """Return the comparisons of one quality, in order."""
    return tuple(one for one in evidence.comparisons if one.quality is quality)
