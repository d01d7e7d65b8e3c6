"""Landing clouds: where many simulated throws of one line come to rest.

Random numbers are common: every disc, line and day uses the same release draws, so that two
discs differ by what they are and not by luck. Sets that know nothing of each other serve
different ends: one screens lines and one chooses among discs (scrambled Sobol sequences, for
evenness), one reports, and one values what comes after a throw. The last two are independent
pseudo-random numbers, so that their standard errors mean what they say.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.arm import ArmStyle, arm_style, line_scatter_factor
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.days import Day
from rimwise.decide.lies import Lie
from rimwise.decide.lines import EFFORTS, Base, bases_for
from rimwise.decide.pricing import Actions, Prices
from rimwise.flight.aero import AeroArrays
from rimwise.flight.body import Body, BodyArrays, rim_width_from_printed_speed_m
from rimwise.flight.flights import Flights
from rimwise.flight.fly import COARSE_STEP_S, STEP_S, fly_many
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Line, Thrower

__all__ = ["CHOOSING", "REPORTING", "SCREENING", "Clouds", "Draws", "Simulator", "Throws"]

#: Wind directions flown around the compass, by the wind's speed in m/s: the stronger the wind,
#: the sharper the flights change with its direction, and the more of them the trigonometric
#: interpolation needs. With these, half of the interpolated mean landings lie within 0.1 m (calm)
#: to 0.4 m (12 m/s) of exact flights, nine of ten within 0.4 to 0.9 m.
DIRECTIONS = ((0.05, 1), (5.0, 8), (8.0, 12), (math.inf, 16))
#: A disc that skims in is taken to go on at most this many metres for each metre of fall.
FLATTEST_ONWARD = 8.0
#: Draws are cut at this many standard deviations: nobody releases at 5.
_WIDEST = 3.5


#: The independent sets of throws; the last one values what comes after a throw.
SCREENING, CHOOSING, REPORTING, VALUING = 1, 2, 3, 4


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """One sample of everything random about a throw but the disc.

    ``normal`` (sample, 7): speed, launch, hyzer, nose, heading, spin, gust; ``slip`` (sample,)
    uniform; ``nerve`` (sample,) exponential, the stem-metres survived.
    """

    normal: NDArray[np.float64]
    slip: NDArray[np.float64]
    nerve: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.slip)

    @classmethod
    def sobol(cls, samples: int, seed: int, draw_set: int) -> Draws:
        """Spread draws evenly (scrambled Sobol sequence; Owen 1998).

        Most evenly for a power of two. Each ``draw_set`` has a scrambling of its own.
        """
        from scipy.stats import qmc

        stream = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(draw_set,)))
        points = qmc.Sobol(9, rng=stream).random_base2(math.ceil(math.log2(samples)))
        return cls._from_uniform(points[:samples])

    @classmethod
    def independent(cls, samples: int, seed: int, draw_set: int) -> Draws:
        """Draw independently; each ``draw_set`` is a stream of its own."""
        stream = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(draw_set,)))
        return cls._from_uniform(stream.random((samples, 9)))

    @classmethod
    def _from_uniform(cls, uniform: NDArray[np.float64]) -> Draws:
        from scipy.special import ndtri

        inside = np.clip(uniform, 1e-9, 1.0 - 1e-9)
        return cls(
            normal=np.clip(ndtri(inside[:, :7]), -_WIDEST, _WIDEST),
            slip=inside[:, 7],
            nerve=-np.log(inside[:, 8]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Clouds:
    """Clouds of every disc and base line on one day.

    ``points`` (disc, base, direction, effort, channel, sample) float32, metres; in direction *k*
    of *n* the wind comes from 360·k/n degrees to the right of the aim line; channels as in
    ``_score``.
    """

    points: NDArray[np.float32]
    nerve: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Throws:
    """Fresh flights of chosen actions, in the frames of their lies.

    ``touch`` and ``rest`` (row, disc, sample, 2), metres: x toward the basket, y left.
    """

    lies: tuple[Lie, ...]
    touch: NDArray[np.float64]
    rest: NDArray[np.float64]
    nerve: NDArray[np.float64]

    def price(
        self, value: NDArray[np.float64], prices: Prices
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return strokes (row, disc, sample) and the next lies (row, disc, sample, 2)."""
        from rimwise.decide._score import price_flights

        rows, discs, samples, _ = self.touch.shape
        cost = np.empty((rows, discs, samples), dtype=np.float32)
        after = np.empty((rows, discs, samples, 2), dtype=np.float32)
        out = np.empty((samples, 4))
        for r, lie in enumerate(self.lies):
            around = lie.around
            for d in range(discs):
                price_flights(
                    self.touch[r, d],
                    self.rest[r, d],
                    lie.row,
                    around.frame,
                    around.raster,
                    around.wood,
                    around.relief,
                    value,
                    prices.table[d],
                    self.nerve,
                    out,
                )
                cost[r, d], after[r, d] = out[:, 0], out[:, 1:3]
        return cost, after


@dataclass(frozen=True)
class Simulator:
    """Flies what a thrower might throw.

    Parameters
    ----------
    learnt_arms
        The arm of every style as learnt; what one number says of it when there are none.
    screening, choosing, reporting
        Sample sizes of the independent sets; the first two are best powers of two.
    """

    thrower: Thrower
    assume: Assumptions
    seed: int = 1
    screening: int = 64
    choosing: int = 128
    reporting: int = 128
    threads: int = 2
    learnt_arms: tuple[ArmStyle, ...] = ()
    bases: tuple[Base, ...] = field(init=False)
    arms: tuple[ArmStyle, ...] = field(init=False)

    def __post_init__(self) -> None:
        bases = bases_for(self.thrower)
        arms = self.learnt_arms or tuple(
            arm_style(self.thrower, skill.style, self.assume) for skill in self.thrower.styles
        )
        styles = {arm.style: arm for arm in arms}
        object.__setattr__(self, "bases", bases)
        object.__setattr__(self, "arms", tuple(styles[base.style] for base in bases))

    def clouds(self, fleet: Fleet, day: Day) -> Clouds:
        """Fly every disc on every base line, effort and wind direction."""
        from rimwise.decide._score import CHANNELS

        draws = Draws.sobol(self.screening, self.seed, SCREENING)
        printed = fleet.sample_printed(self.screening, self.seed, SCREENING)
        mass_kg = fleet.sample_mass_kg(self.screening, self.seed, SCREENING)
        directions = next(n for most, n in DIRECTIONS if day.wind.strongest_m_s <= most)
        shape = (len(self.bases), directions, len(EFFORTS), self.screening)
        base, direction, effort, sample = (a.ravel() for a in np.indices(shape))
        points = np.empty((len(fleet), *shape[:3], CHANNELS, self.screening), dtype=np.float32)
        effort_share = np.asarray(EFFORTS)[effort]

        def fly_disc(d: int) -> None:
            touch, rest, onward = self._fly(
                fleet, day, d, draws, printed[d], mass_kg[d],
                base=base, effort=effort_share, sample=sample,
                turn_rad=np.zeros(1), from_rad=2.0 * math.pi * direction / directions,
                ground_z_m=np.zeros(1), step_s=COARSE_STEP_S,
            )  # fmt: skip
            channels = (*touch.T, *(rest - touch).T, *onward.T)
            for c, channel in enumerate(channels):
                points[d, :, :, :, c] = channel.reshape(shape)

        self._each(fly_disc, len(fleet))
        return Clouds(points, draws.nerve)

    def throw_actions(
        self, fleet: Fleet, day: Day, lies: Sequence[Lie], actions: Actions, draw_set: int
    ) -> Throws:
        """Fly every disc's chosen action from every lie on fresh draws of a set.

        Effort, heading and wind direction are exact here, not interpolated. On a slope the
        disc comes down on level ground as high as the place that the throw is meant for.
        """
        if draw_set == CHOOSING:
            samples = self.choosing
            draws = Draws.sobol(samples, self.seed, draw_set)
        else:
            samples = self.reporting
            draws = Draws.independent(samples, self.seed, draw_set)
        printed = fleet.sample_printed(samples, self.seed, draw_set)
        mass_kg = fleet.sample_mass_kg(samples, self.seed, draw_set)
        row, sample = (a.ravel() for a in np.indices((len(lies), samples)))
        bearing = np.array([lie.bearing_deg for lie in lies])
        slope = np.array([lie.slope for lie in lies])
        from_rad = np.radians(day.wind.from_deg - bearing)[row]
        shape = (len(lies), len(fleet), samples, 2)
        touch, rest = np.empty(shape), np.empty(shape)
        knots = np.asarray(EFFORTS)

        def fly_disc(d: int) -> None:
            action = actions.table[:, d]
            knot = action[:, 2].astype(np.intp)
            effort = knots[knot] + action[:, 3] * (knots[knot + 1] - knots[knot])
            first, last, _ = self._fly(
                fleet, day, d, draws, printed[d], mass_kg[d],
                base=action[:, 1].astype(np.intp)[row], effort=effort[row], sample=sample,
                turn_rad=action[:, 4][row], from_rad=from_rad,
                ground_z_m=(slope * action[:, 5])[row], step_s=STEP_S,
            )  # fmt: skip
            touch[:, d] = first.reshape(len(lies), samples, 2)
            rest[:, d] = last.reshape(len(lies), samples, 2)

        self._each(fly_disc, len(fleet))
        return Throws(tuple(lies), touch, rest, draws.nerve)

    def middle_throw(
        self, fleet: Fleet, day: Day, lie: Lie, action: Actions, points: int = 40
    ) -> NDArray[np.float64]:
        """Return the path (points, 3) of one chosen action without any scatter.

        ``fleet`` holds the one disc, ``action`` is its (1, 1) table; the path is in the frame
        of the lie and ends at first touch.
        """
        still = Draws(np.zeros((1, 7)), np.ones(1), np.full(1, np.inf))
        sample = np.zeros(1, dtype=np.intp)
        from_rad = np.radians(np.array([day.wind.from_deg - lie.bearing_deg]))
        flights = fly_many(
            _aero(fleet.printed, sample),
            _body(fleet, 0, fleet.mass_kg, sample),
            self._releases(
                fleet,
                day,
                0,
                still,
                np.array([action.base(0, 0)]),
                np.array([action.effort(0, 0, EFFORTS)]),
                sample,
                np.array([action.turn_rad(0, 0)]),
            ),
            day.air_density_kg_m3,
            _winds(day, still, sample, from_rad),
            ground_z_m=lie.slope * action.table[0, 0, 5],
            path_points=points,
            threads=1,
        )
        return np.asarray(flights.path_m[0])

    def distance_left(
        self,
        fleet: Fleet,
        day: Day,
        lies: Sequence[Lie],
        actions: Actions,
        best: NDArray[np.intp],
    ) -> NDArray[np.float64]:
        """Return the distance left (row, sample) after throws of one disc per lie.

        They are a set of their own, as large as the reporting one.
        """
        left_m = np.zeros((len(lies), self.reporting))
        for disc in np.unique(best).tolist():
            rows = np.flatnonzero(best == disc).tolist()
            alone = Actions(actions.table[rows][:, [disc]])
            there = self.throw_actions(
                fleet.subset([disc]), day, [lies[r] for r in rows], alone, VALUING
            )
            distance = np.array([lies[r].distance_m for r in rows])[:, None]
            rest = there.rest[:, 0]
            left_m[rows] = np.hypot(distance - rest[..., 0], rest[..., 1])
        return left_m

    def _each(self, work: Callable[[int], None], count: int) -> None:
        """Do something for every disc; discs do not look at each other."""
        with ThreadPoolExecutor(self.threads) as pool:
            list(pool.map(work, range(count)))

    def _fly(
        self,
        fleet: Fleet,
        day: Day,
        disc: int,
        draws: Draws,
        printed: NDArray[np.float64],
        mass_kg: NDArray[np.float64],
        *,
        base: NDArray[np.intp],
        effort: NDArray[np.float64],
        sample: NDArray[np.intp],
        turn_rad: NDArray[np.float64],
        from_rad: NDArray[np.float64],
        ground_z_m: NDArray[np.float64],
        step_s: float,
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Fly one disc; return first touch, rest and metres onward per metre of fall, (N, 2)."""
        flights = self.fly_disc(
            fleet, day, disc, draws, printed, mass_kg, base=base, effort=effort, sample=sample,
            turn_rad=turn_rad, from_rad=from_rad, ground_z_m=ground_z_m, step_s=step_s,
        )  # fmt: skip
        velocity = flights.landing_velocity_m_s
        level = np.hypot(velocity[:, 0], velocity[:, 1])
        sinking = np.maximum(-velocity[:, 2], np.maximum(level / FLATTEST_ONWARD, 0.1))
        onward = velocity[:, :2] / sinking[:, None]
        return flights.landing_m[:, :2], flights.rest_m[:, :2], onward

    def fly_disc(
        self,
        fleet: Fleet,
        day: Day,
        disc: int,
        draws: Draws,
        printed: NDArray[np.float64],
        mass_kg: NDArray[np.float64],
        *,
        base: NDArray[np.intp],
        effort: NDArray[np.float64],
        sample: NDArray[np.intp],
        turn_rad: NDArray[np.float64],
        from_rad: NDArray[np.float64],
        ground_z_m: NDArray[np.float64],
        step_s: float = STEP_S,
        path_points: int = 0,
    ) -> Flights:
        """Fly N throws of one disc in a frame whose x is the line they are told from.

        Parameters
        ----------
        printed, mass_kg
            (sample, 4) and (sample,): what the disc is in each sample.
        base, effort, sample
            (N,): base line, share of full speed, and which of the draws.
        turn_rad, from_rad
            Heading to the left of the line, and where the wind comes from, to its right.
        ground_z_m
            Height of the landing area above the foot of the lie.
        """
        from rimwise.flight.ground import GROUNDS

        return fly_many(
            _aero(printed, sample),
            _body(fleet, disc, mass_kg, sample),
            self._releases(fleet, day, disc, draws, base, effort, sample, turn_rad),
            day.air_density_kg_m3,
            _winds(day, draws, sample, from_rad),
            ground=GROUNDS[day.ground],
            ground_z_m=ground_z_m,
            rim_width_m=_rim_width_m(fleet, disc),
            step_s=step_s,
            path_points=path_points,
            threads=1,
        )

    def _releases(
        self,
        fleet: Fleet,
        day: Day,
        disc: int,
        draws: Draws,
        base: NDArray[np.intp],
        effort: NDArray[np.float64],
        sample: NDArray[np.intp],
        turn_rad: NDArray[np.float64],
    ) -> ReleaseArrays:
        """Scatter the release around the line, wider with a poor grip; some releases slip."""
        assume = self.assume
        slack = float(np.clip((5.0 - day.grip_grades(fleet.grip)[disc]) / 4.0, 0.0, 1.0)) ** 2
        width = (1.0 + assume.poor_grip_scatter * slack) * self._line_width(base, effort)
        z = draws.normal[sample]
        arm = _ArmColumns.of(self.arms, base)
        slipped = draws.slip[sample] < assume.poor_grip_slips * slack
        speed = arm.speed_m_s * effort * day.arm * (1.0 - assume.poor_grip_speed_loss * slack)
        speed = speed * np.where(slipped, SLIP_SPEED, 1.0)
        speed *= 1.0 + np.clip(arm.speed_sd * width * z[:, 0], -0.5, 0.5)
        spin = arm.spin_per_speed * speed * (1.0 + assume.spin_scatter * z[:, 5])
        angle = np.radians(np.array([[b.hyzer_deg, b.launch_deg] for b in self.bases]))[base]
        # A left-hander's draws are the mirror image of a right-hander's, the heading's too.
        hand = 1.0 if self.thrower.hand == "right" else -1.0
        heading = hand * z[:, 4] * (arm.heading_sd * width + slipped * SLIP_HEADING_RAD)
        return ReleaseArrays(
            speed_m_s=np.clip(speed, 3.0, 49.0),
            spin_rad_s=np.clip(spin, 8.0, 290.0),
            launch_rad=angle[:, 1] + arm.launch_bias_rad + arm.launch_sd * width * z[:, 1],
            hyzer_rad=angle[:, 0] + arm.hyzer_bias_rad + arm.hyzer_sd * width * z[:, 2],
            nose_rad=arm.nose_rad + arm.nose_sd * width * z[:, 3],
            heading_rad=turn_rad + arm.heading_bias_rad + heading,
            side=arm.side * hand,
        )

    def _line_width(
        self, base: NDArray[np.intp], effort: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return the scatter factor of each throw; linear in effort, so two ends suffice."""
        ends = _scatter_ends(self.bases, self.thrower.stock, self.assume)
        share = (effort - 0.3) / 0.7
        return np.asarray(ends[base, 0] + share * (ends[base, 1] - ends[base, 0]))


@lru_cache(maxsize=16)
def _scatter_ends(bases: tuple[Base, ...], stock: Line, assume: Assumptions) -> NDArray[np.float64]:
    """Return the scatter factor of every base at 30 % and at full effort, (base, 2)."""
    return np.array(
        [[line_scatter_factor(stock, b.line(e), assume) for e in (0.3, 1.0)] for b in bases]
    )


#: A slip leaves with this share of the speed and this much extra heading spread. Memory.
SLIP_SPEED = 0.75
SLIP_HEADING_RAD = math.radians(12.0)


@dataclass(frozen=True, slots=True, eq=False)
class _ArmColumns:
    """The arm's numbers spread over throws by their base line."""

    speed_m_s: NDArray[np.float64]
    spin_per_speed: NDArray[np.float64]
    nose_rad: NDArray[np.float64]
    speed_sd: NDArray[np.float64]
    launch_sd: NDArray[np.float64]
    hyzer_sd: NDArray[np.float64]
    nose_sd: NDArray[np.float64]
    heading_sd: NDArray[np.float64]
    heading_bias_rad: NDArray[np.float64]
    hyzer_bias_rad: NDArray[np.float64]
    launch_bias_rad: NDArray[np.float64]
    side: NDArray[np.float64]

    @classmethod
    def of(cls, arms: Sequence[ArmStyle], base: NDArray[np.intp]) -> _ArmColumns:
        table = np.array(
            [
                [
                    arm.speed_m_s,
                    arm.spin_rad_s / arm.speed_m_s,
                    arm.nose_rad,
                    arm.scatter.speed_fraction,
                    math.radians(arm.scatter.launch_deg),
                    math.radians(arm.scatter.hyzer_deg),
                    math.radians(arm.scatter.nose_deg),
                    math.radians(arm.scatter.heading_deg),
                    arm.heading_bias_rad,
                    arm.hyzer_bias_rad,
                    arm.launch_bias_rad,
                    1.0 if arm.style == "backhand" else -1.0,
                ]
                for arm in arms
            ]
        )
        return cls(*table[base].T)


def _aero(printed: NDArray[np.float64], sample: NDArray[np.intp]) -> AeroArrays:
    from rimwise.flight.printed import aero_arrays_from_printed

    one = aero_arrays_from_printed(printed[:, 0], printed[:, 1], printed[:, 2], printed[:, 3])
    spread = {}
    for name in AeroArrays.__dataclass_fields__:
        values = np.asarray(getattr(one, name), dtype=np.float64)
        spread[name] = values if values.size == 1 else values[sample]
    return AeroArrays(**spread)


def _body(
    fleet: Fleet, disc: int, mass_kg: NDArray[np.float64], sample: NDArray[np.intp]
) -> BodyArrays:
    """Return bodies whose inertia follows the sampled mass (same shape, other density)."""
    diameter_m = fleet.diameter_m[disc]
    middle = Body.from_dimensions(
        float(fleet.mass_kg[disc]),
        0.212 if np.isnan(diameter_m) else float(diameter_m),
        _rim_width_m(fleet, disc),
    )
    mass = mass_kg[sample]
    inertia = middle.axial_inertia_kg_m2 * mass / middle.mass_kg
    return BodyArrays(mass, middle.diameter_m, inertia)


def _rim_width_m(fleet: Fleet, disc: int) -> float:
    known = fleet.rim_width_m[disc]
    if not np.isnan(known):
        return float(known)
    return rim_width_from_printed_speed_m(float(np.clip(fleet.printed[disc, 0], 1.0, 15.0)))


def _winds(
    day: Day, draws: Draws, sample: NDArray[np.intp], from_rad: NDArray[np.float64]
) -> WindArrays:
    """Return winds of this sample's gust, in a frame whose north is the aim line."""
    wind = day.wind
    speed = np.maximum(wind.speed_m_s + wind.sd_m_s * draws.normal[sample, 6], 0.0)
    return WindArrays(-speed * np.sin(from_rad), -speed * np.cos(from_rad), wind.roughness_m)
