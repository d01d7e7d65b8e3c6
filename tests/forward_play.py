"""Plays holes forward by a policy, apart from everything that the solver works with.

Plain NumPy: its own random numbers, releases, trees, drops and scores, on the polygons of the
map themselves (shapely) and in the map's east and north; flights come from ``rimwise.fly_many``.
From the solver it takes what a player takes: from this lie, throw this disc on this line at
this effort in this direction, or putt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

import rimwise as rw
from rimwise.beliefs.arm import line_scatter_factor
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel, comeback_m
from rimwise.decide.clouds import SLIP_HEADING_RAD, SLIP_SPEED, Simulator
from rimwise.decide.days import Day
from rimwise.decide.fresh import Policy
from rimwise.decide.visibility import hidden_in
from rimwise.flight.aero import AeroArrays
from rimwise.flight.body import Body, BodyArrays, rim_width_from_printed_speed_m
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area, AreaKind, Course, Hole

Floats = NDArray[np.float64]

PATH_POINTS = 61
PIECE_M = 0.5
MOST_THROWS = 60


@dataclass
class Played:
    """Scores of many rounds of one hole, discs lost at their worth apart."""

    strokes: Floats
    worth_lost: Floats

    @property
    def cost(self) -> Floats:
        return self.strokes + self.worth_lost

    def mean(self) -> tuple[float, float]:
        return float(self.cost.mean()), float(self.cost.std(ddof=1) / math.sqrt(len(self.cost)))


class Land:
    """The polygons and marks of a course, and the slope of a hole."""

    def __init__(self, course: Course, hole: Hole, assume: Assumptions) -> None:
        box = shapely.box(
            min(hole.tee[0], hole.basket[0]) - 150, min(hole.tee[1], hole.basket[1]) - 150,
            max(hole.tee[0], hole.basket[0]) + 150, max(hole.tee[1], hole.basket[1]) + 150,
        )  # fmt: skip

        def near(area: Area) -> shapely.Geometry:
            shape = shapely.intersection(shapely.Polygon(area.ring, list(area.openings)), box)
            shapely.prepare(shape)
            return shape

        def united(kind: AreaKind) -> shapely.Geometry:
            whole = shapely.union_all([near(a) for a in course.areas if a.kind is kind])
            shapely.prepare(whole)
            return whole

        self.water, self.wood = united(AreaKind.WATER), united(AreaKind.WOOD)
        self.out, self.fairway = united(AreaKind.OUT_OF_BOUNDS), united(AreaKind.FAIRWAY)
        self.thick, self.low = united(AreaKind.THICK), united(AreaKind.LOW_CEILING)
        self.no_run_up = united(AreaKind.NO_RUN_UP)
        self.woods = [
            (
                near(a),
                assume.wood_hit_per_m
                if a.stems_per_ha is None
                else a.stems_per_ha * 1e-4 * (assume.wood_stem_m + 0.21),
                assume.wood_canopy_m if a.canopy_m is None else a.canopy_m,
            )
            for a in course.areas
            if a.kind is AreaKind.WOOD
        ]
        self.mandatories = [m for m in course.mandatories if m.hole == hole.ref]
        self.zones = {
            z.after.value: np.array(z.at) for z in course.drop_zones if z.hole == hole.ref
        }
        self.tee, self.basket = np.array(hole.tee), np.array(hole.basket)
        self.along = (self.basket - self.tee) / hole.length_m
        self.slope = hole.elevation_change_m / hole.length_m

    def height(self, xy: Floats) -> Floats:
        return np.asarray(self.slope * ((xy - self.tee) @ self.along))

    @staticmethod
    def inside(shape: shapely.Geometry, xy: Floats) -> NDArray[np.bool_]:
        if shape.is_empty:
            return np.zeros(xy.shape[:-1], dtype=np.bool_)
        return np.asarray(shapely.contains_xy(shape, xy[..., 0], xy[..., 1]))

    def kind(self, xy: Floats) -> NDArray[np.intp]:
        """Say what kind of lie each place is: free, among trees, no run-up, low ceiling."""
        short, low = self.inside(self.no_run_up, xy), self.inside(self.low, xy)
        trees = self.inside(self.wood, xy) | (short & low)
        return np.asarray(np.select([trees, short, low], [1, 2, 3], 0), dtype=np.intp)

    def zone(self, *troubles: str) -> Floats | None:
        return next((self.zones[t] for t in (*troubles, "any") if t in self.zones), None)

    def missed(self, line: Floats) -> NDArray[np.bool_]:
        """Say which lines (N, points, 2) cross the line that runs aside from a mandatory."""
        wrong = np.zeros(len(line), dtype=np.bool_)
        across = np.array([-self.along[1], self.along[0]])
        for m in self.mandatories:
            aside = -across if m.side.value == "left" else across
            out, off = (line - np.array(m.at)) @ self.along, (line - np.array(m.at)) @ aside
            i, p = np.nonzero((out[:, :-1] < 0.0) & (out[:, 1:] >= 0.0))
            share = out[i, p] / (out[i, p] - out[i, p + 1])
            wrong[i[off[i, p] + share * (off[i, p + 1] - off[i, p]) > 0.0]] = True
        return wrong

    def penal(self, xy: Floats) -> NDArray[np.bool_]:
        return self.inside(self.water, xy) | self.inside(self.out, xy)


class Player:
    """Releases of a thrower on a day, written anew from what the assumptions say."""

    def __init__(self, simulator: Simulator, fleet: Fleet, day: Day, assume: Assumptions) -> None:
        self.simulator, self.fleet, self.day, self.assume = simulator, fleet, day, assume

    def on(self, hole: Hole) -> Player:
        """Return the player in the wind of a hole."""
        if hole.shelter is None:
            return self
        wind, share = self.day.wind, hole.shelter / self.assume.shelter_factor
        wind = replace(wind, speed_m_s=share * wind.speed_m_s, sd_m_s=share * wind.sd_m_s)
        return Player(self.simulator, self.fleet, replace(self.day, wind=wind), self.assume)

    def hidden(self, disc: int) -> float:
        """Return how much more often a disc is lost on this ground in this light."""
        a, day = self.assume, self.day
        times = {"green": 1.0, "bare": a.bare_loss, "leaves": a.leaves_loss, "snow": a.snow_loss}
        colour = a.hidden_colour_loss if hidden_in(self.fleet.colours[disc], day.cover) else 1.0
        return times[day.cover] * colour * (a.dusk_loss if day.dusk else 1.0)

    def throw(
        self, random: np.random.Generator, disc: int, base: NDArray[np.intp], effort: Floats,
        bearing_deg: Floats,
    ):  # fmt: skip
        """Release N throws of a disc along bearings; return what flies them down to a level."""
        count = len(base)
        fleet, day, a = self.fleet, self.day, self.assume
        slack = min(max((5.0 - float(np.dot(fleet.grip[disc], day.grip))) / 4.0, 0.0), 1.0) ** 2
        width = np.empty(count)
        columns = np.empty((count, 12))
        for b in np.unique(base):
            rows = base == b
            line, arm = self.simulator.bases[b], self.simulator.arms[b]
            soft, hard = (
                line_scatter_factor(self.simulator.thrower.stock, line.line(e), a) for e in (0.3, 1)
            )
            width[rows] = soft + (hard - soft) * (effort[rows] - 0.3) / 0.7
            s = arm.scatter
            columns[rows] = (
                arm.speed_m_s, arm.spin_rad_s / arm.speed_m_s, s.speed_fraction,
                math.radians(line.launch_deg) + arm.launch_bias_rad, math.radians(s.launch_deg),
                math.radians(line.hyzer_deg) + arm.hyzer_bias_rad, math.radians(s.hyzer_deg),
                arm.nose_rad, math.radians(s.nose_deg), arm.heading_bias_rad,
                math.radians(s.heading_deg), 1.0 if arm.style == "backhand" else -1.0,
            )  # fmt: skip
        width *= 1.0 + a.poor_grip_scatter * slack

        def luck() -> Floats:
            return np.clip(random.standard_normal(count), -3.5, 3.5)

        (
            speed,
            spin,
            speed_sd,
            launch,
            launch_sd,
            hyzer,
            hyzer_sd,
            nose,
            nose_sd,
            head,
            head_sd,
            (side),
        ) = columns.T
        slipped = random.random(count) < a.poor_grip_slips * slack
        v = speed * effort * day.arm * (1.0 - a.poor_grip_speed_loss * slack)
        v = np.where(slipped, SLIP_SPEED, 1.0) * v
        v = v * (1.0 + np.clip(speed_sd * width * luck(), -0.5, 0.5))
        turn = luck() * (head_sd * width + slipped * SLIP_HEADING_RAD)
        hand = 1.0 if self.simulator.thrower.hand == "right" else -1.0
        release = ReleaseArrays(
            speed_m_s=np.clip(v, 3.0, 49.0),
            spin_rad_s=np.clip(spin * v * (1.0 + a.spin_scatter * luck()), 8.0, 290.0),
            launch_rad=launch + launch_sd * width * luck(),
            hyzer_rad=hyzer + hyzer_sd * width * luck(),
            nose_rad=nose + nose_sd * width * luck(),
            heading_rad=head + turn,
            side=side * hand,
        )
        gust = np.maximum(day.wind.speed_m_s + day.wind.sd_m_s * luck(), 0.0)
        toward = math.radians(day.wind.from_deg + 180.0)
        wind = WindArrays(gust * math.sin(toward), gust * math.cos(toward), day.wind.roughness_m)
        one = fleet.subset([disc])
        numbers = one.sample_printed(count, int(random.integers(2**31)), 99)[0]
        mass = one.sample_mass_kg(count, int(random.integers(2**31)), 99)[0]
        rim = fleet.rim_width_m[disc]
        if np.isnan(rim):
            rim = rim_width_from_printed_speed_m(float(np.clip(fleet.printed[disc, 0], 1.0, 15.0)))
        size = fleet.diameter_m[disc]
        like = Body.from_dimensions(
            float(fleet.mass_kg[disc]), 0.212 if np.isnan(size) else float(size), float(rim)
        )
        body = BodyArrays(mass, like.diameter_m, like.axial_inertia_kg_m2 / like.mass_kg * mass)
        aero: AeroArrays = aero_arrays_from_printed(*numbers.T)

        def fly(level_m: Floats, points: int):
            return rw.fly_many(
                aero, body, release, day.air_density_kg_m3, wind, bearing_deg=bearing_deg,
                ground=day.ground, ground_z_m=level_m, rim_width_m=rim, path_points=points,
                threads=1,
            )  # fmt: skip

        return fly


def play(
    policy: Policy, player: Player, putting: PuttingModel, course: Course, hole: Hole, seed: int,
    rounds: int,
) -> Played:  # fmt: skip
    """Play a hole so many times."""
    land, assume = Land(course, hole, player.assume), player.assume
    player = player.on(hole)
    random = np.random.default_rng(seed)
    at = np.tile(land.tee, (rounds, 1))
    strokes, worth = np.zeros(rounds), np.zeros(rounds)
    playing = np.arange(rounds)
    left = np.array([-land.along[1], land.along[0]])
    hole_bearing = math.degrees(math.atan2(land.along[0], land.along[1]))
    for _ in range(MOST_THROWS):
        if not len(playing):
            break
        here = at[playing]
        from_tee = np.all(here == land.tee, axis=1)
        kind = np.where(from_tee, 0, land.kind(here))
        lies = np.column_stack([(here - land.tee) @ land.along, (here - land.tee) @ left, kind])
        throws = policy.throws(lies) | from_tee
        _putt_out(random, putting, land, playing[~throws], at, strokes)
        lies, playing, here = lies[throws], playing[throws], here[throws]
        if not len(playing):
            break
        near = policy.problem.lattice.nearest(lies)
        near[from_tee[throws]] = len(policy.problem.lattice.lies) - 1
        actions, aims = policy.aimed(lies, near)
        strokes[playing] += 1.0
        for disc in np.unique(actions[:, 0]).astype(int):
            rows = np.flatnonzero(actions[:, 0] == disc)
            who = playing[rows]
            after, missed, again, hazard, wet, chance = _throw(
                random, land, player, disc, here[rows], actions[rows, 1].astype(np.intp),
                aims[rows, 0], hole_bearing - np.degrees(aims[rows, 1]),
                land.tee + np.outer(actions[rows, 2], land.along)
                + np.outer(actions[rows, 3], left),
            )  # fmt: skip
            back = max(player.day.water_recovery, assume.floating_recovery * float(
                player.fleet.floats[disc]
            ))  # fmt: skip
            chance = np.minimum(chance * player.hidden(disc), 0.95)
            chance = np.where(hazard, (1.0 - back) * wet, chance) * ~missed
            lost = random.random(len(rows)) < chance
            worth[who] += lost * assume.lost_disc_strokes * player.fleet.relative_cost[disc]
            strokes[who] += assume.penalty_strokes * (hazard | lost)
            strokes[who] += assume.mandatory_strokes * missed
            again |= lost & ~hazard
            at[who] = np.where(again[:, None], here[rows], after)
    return Played(strokes, worth)


def _putt_out(
    random: np.random.Generator, putting: PuttingModel, land: Land, who: NDArray[np.intp],
    at: Floats, strokes: Floats,
) -> None:  # fmt: skip
    """Putt until the disc is in: the putt, then comebacks that all are alike."""
    distance = np.hypot(*(at[who] - land.basket).T)
    chance = putting.make_probability(distance)
    second = putting.make_probability(comeback_m(distance))
    for i, player in enumerate(who):
        strokes[player] += 1.0
        if random.random() >= chance[i]:
            strokes[player] += random.geometric(second[i])


def _throw(
    random: np.random.Generator, land: Land, player: Player, disc: int, start: Floats,
    base: NDArray[np.intp], effort: Floats, bearing_deg: Floats, meant: Floats,
):  # fmt: skip
    """Throw once each; return where the next lies are and what happened."""
    foot = land.height(start)
    sine, cosine = np.sin(np.radians(bearing_deg)), np.cos(np.radians(bearing_deg))

    def on_map(flown: Floats) -> Floats:
        shape = (-1,) + (1,) * (flown.ndim - 2)
        x, y, s, c = flown[..., 0], flown[..., 1], sine.reshape(shape), cosine.reshape(shape)
        offset = np.stack([x * s - y * c, x * c + y * s], axis=-1)
        return start.reshape((*shape, 2) if flown.ndim > 2 else (-1, 2)) + offset

    fly = player.throw(random, disc, base, effort, bearing_deg)
    level = np.zeros(len(start))
    if land.slope != 0.0:  # bisect for the level that is the ground's where the disc comes down
        low, high = level - 12.0, level + 12.0
        for _ in range(11):
            level = 0.5 * (low + high)
            meets = land.height(on_map(fly(level, 0).landing_m[:, :2])) - foot
            low, high = np.where(meets > level, level, low), np.where(meets > level, high, level)
    flights = fly(level, PATH_POINTS)
    line = on_map(flights.path_m[..., :2])
    high = foot[:, None] + flights.path_m[..., 2]
    touch, rest = on_map(flights.landing_m[:, :2]), on_map(flights.rest_m[:, :2])
    line = np.concatenate([line, rest[:, None]], axis=1)
    high = np.concatenate([high, land.height(rest)[:, None]], axis=1)

    among, ends = _struck(random, land, line[:, :-1], high[:, :-1])
    line[among] = _cut(line[among], ends[among])
    rest = np.where(among[:, None], line[:, -1], rest)
    sunk = ~among & land.inside(land.water, touch)
    line[sunk, -1] = touch[sunk]
    rest = line[:, -1].copy()
    missed = land.missed(line)
    hazard = land.penal(rest) & ~missed
    wet = land.inside(land.water, rest)
    chance = np.select(
        [
            among | land.inside(land.wood, rest),
            land.inside(land.fairway, rest),
            land.inside(land.thick, rest),
        ],
        [player.assume.wood_loss_chance, 0.0, player.assume.thick_loss_chance],
        player.assume.rough_loss_chance,
    )
    for i in np.flatnonzero(hazard):
        zone = land.zone("water") if wet[i] else land.zone("out of bounds")
        rest[i] = _last_in_bounds(land, line[i]) if zone is None else zone
    zone = land.zone("mandatory")
    if zone is not None:
        rest[missed] = zone
    return rest, missed, missed & (zone is None), hazard, wet, chance


def _struck(
    random: np.random.Generator, land: Land, line: Floats, high: Floats
) -> tuple[NDArray[np.bool_], Floats]:
    """Say which flights strike a stem, and at which share of their points."""
    count, points, _ = line.shape
    struck, ends = np.zeros(count, dtype=np.bool_), np.full(count, float(points - 1))
    patience = random.exponential(size=count)
    if land.wood.is_empty:
        return struck, ends
    paths = shapely.linestrings(line)
    near = np.flatnonzero(shapely.intersects(land.wood, paths))
    for i in near:
        met = 0.0
        for p in range(points - 1):
            a, b = line[i, p], line[i, p + 1]
            length = math.dist(a, b)
            pieces = max(1, math.ceil(length / PIECE_M))
            share = (np.arange(pieces) + 0.5) / pieces
            xy = a + share[:, None] * (b - a)
            z = high[i, p] + share * (high[i, p + 1] - high[i, p])
            above = z - land.height(xy)
            each = [h * (land.inside(w, xy) & (above < top)) for w, h, top in land.woods]
            hits = np.cumsum(np.max(each, axis=0)) * length / pieces + met
            if hits[-1] > patience[i]:
                struck[i] = True
                ends[i] = p + (np.argmax(hits > patience[i]) + 0.5) / pieces
                break
            met = hits[-1]
    return struck, ends


def _cut(line: Floats, ends: Floats) -> Floats:
    """End lines (N, points, 2) at a share of their points: what follows is where they end."""
    short = line.copy()
    for i, end in enumerate(ends):
        p = int(end)
        short[i, p + 1 :] = line[i, p] + (end - p) * (line[i, p + 1] - line[i, p])
    return short


def _last_in_bounds(land: Land, line: Floats) -> Floats:
    """Return the last point in bounds of a line, to a few centimetres."""
    for p in range(len(line) - 2, -1, -1):
        a, b = line[p], line[p + 1]
        pieces = max(1, math.ceil(math.dist(a, b) / 0.05))
        share = np.arange(pieces + 1) / pieces
        xy = a + share[:, None] * (b - a)
        inside = np.flatnonzero(~land.penal(xy))
        if len(inside):
            return np.asarray(xy[inside[-1]])
    return np.asarray(line[0])
