"""An invented plan, big enough to draw: 18 holes, 32 discs, 20 of them carried."""

from __future__ import annotations

import math

import numpy as np

from rimwise.beliefs.putting_fit import MadeRate
from rimwise.decide.reasons import Job, LeftOut, Purpose
from rimwise.decide.report import (
    AreaShape,
    CurvePoint,
    DayLine,
    DiscLine,
    HoleLine,
    PlanReport,
    SwapReport,
)
from rimwise.decide.serving import ServedGround, Territory
from rimwise.decide.swaps import Cause, Swap
from rimwise.flight.flights import Flight
from rimwise.packing.placement import PackingDisc, alternatives, pack
from rimwise.pictures.belief import BeliefStrip, Hill, Pull
from rimwise.pictures.cart import CartScene
from rimwise.pictures.putting import MakeCurve
from rimwise.records.carts import Cart, CartItem, Pocket

# An invented putter: chances and their band by whole metres, and four distances tried.
_METRES = tuple(float(m) for m in range(1, 23))
MAKE_CURVE = MakeCurve(
    _METRES,
    tuple(1.0 / m for m in _METRES),
    tuple(0.8 / m for m in _METRES),
    tuple(min(1.0, 1.2 / m) for m in _METRES),
)
MADE_RATES = (
    MadeRate(3.0, 160, 149, 0.89, 0.96),
    MadeRate(6.0, 20, 8, 0.24, 0.58),
    MadeRate(6.5, 20, 8, 0.24, 0.58),
    MadeRate(10.0, 4, 0, 0.0, 0.44),
)

# mold, plastic, colour, printed numbers, role, reach in m, finish left in m
_DISCS = (
    ("NH 3", "soft base", "white", (2, 3, 0, 1), "putter", 48, -2),
    ("NH 3", "clear premium", "smoke", (2, 3, 0, 1), "putter", 52, -3),
    ("EJ 4", "soft base", "mint", (3, 4, -1, 0), "putter", 54, 3),
    ("OL 5", "soft grippy", "grey", (4, 2, 0, 3), "putter", 50, -9),
    ("EJ 4", "light floating", "sky blue", (3, 4, -1, 0), "putter", 55, 4),
    ("OL 5", "clear premium", "lime", (4, 2, 0, 3), "putter", 51, -10),
    ("KV 6", "base", "brown", (4, 3, 0, 2), "mid-range", 57, -6),
    ("KV 15", "base", "red", (5, 4, -1, 1), "mid-range", 71, 1),
    ("KV 15", "clear premium", "clear", (5, 4, -1, 1), "mid-range", 70, -2),
    ("KV 15", "cloudy premium", "orange", (5, 4, -1, 1), "mid-range", 70, -1),
    ("OL 17", "soft grippy", "white", (5, 3, 0, 3), "mid-range", 66, -11),
    ("EJ 12", "base", "pink", (5, 5, -3, 0), "mid-range", 74, 10),
    ("NH 14", "light floating", "green", (4, 5, -1, 1), "mid-range", 68, 2),
    ("OL 17", "firm glossy", "purple", (5, 3, 0, 3), "mid-range", 66, -13),
    ("NH 27", "soft base", "blue", (7, 5, -1, 2), "fairway driver", 90, -3),
    ("NH 27", "clear premium", "red", (7, 5, -1, 2), "fairway driver", 89, -6),
    ("NH 27", "firm glossy", "gold", (7, 5, -1, 2), "fairway driver", 88, -8),
    ("NH 27", "light floating", "rose", (7, 5, -1, 2), "fairway driver", 92, 1),
    ("EJ 24", "soft grippy", "lilac", (6, 5, -2, 1), "fairway driver", 86, 7),
    ("EJ 24", "cloudy premium", "teal", (6, 5, -2, 1), "fairway driver", 86, 6),
    ("OL 31", "clear premium", "black", (7, 4, 0, 3), "fairway driver", 84, -14),
    ("OL 31", "soft grippy", "moss green", (7, 4, 0, 3), "fairway driver", 83, -12),
    ("KV 26", "base", "coral", (7, 5, -3, 1), "fairway driver", 91, 14),
    ("OL 340", "cloudy premium", "blue", (9, 5, -1, 2), "distance driver", 97, -7),
    ("OL 340", "base", "yellow", (9, 5, -1, 2), "distance driver", 98, -3),
    ("EJ 39", "light floating", "violet", (9, 6, -3, 1), "distance driver", 101, 9),
    ("KV 44", "firm glossy", "grey", (10, 4, 0, 4), "distance driver", 88, -24),
    ("NH 41", "clear premium", "orange", (11, 5, -2, 2), "distance driver", 99, -12),
    ("NH 41", "clear premium", "peppermint stripes", (11, 5, -2, 2), "distance driver", 100, -10),
)
LEFT_AT_HOME = (4, 5, 9, 13, 16, 19, 21, 26, 28)


def disc_lines() -> tuple[DiscLine, ...]:
    lines = []
    for n, (mold, plastic, colour, numbers, role, reach, left) in enumerate(_DISCS):
        wide = 3.0 + 0.07 * reach
        lines.append(
            DiscLine(
                disc_id=f"{mold.replace(' ', '').lower()}-{colour.replace(' ', '-')}-{n}",
                label=f"{mold} {plastic}, {colour}",
                mold=mold,
                plastic=plastic,
                colour=colour,
                printed=tuple(float(v) for v in numbers),
                numbers_for_you=tuple(float(v) + 0.3 for v in numbers),
                weight_g=172.0,
                weight_sd_g=3.0,
                role=role,
                reach_m=float(reach),
                reach_low_m=0.9 * reach,
                reach_high_m=1.07 * reach,
                finish_left_m=float(left),
                finish_low_m=left - wide,
                finish_high_m=left + 0.8 * wide,
                grip=3.0,
                meaning="a gift from my sister" if n == 24 else "",
            )
        )
    return tuple(lines)


def carried_ids() -> tuple[str, ...]:
    return tuple(line.disc_id for n, line in enumerate(disc_lines()) if n not in LEFT_AT_HOME)


def _areas(n: int, length_m: float) -> tuple[AreaShape, ...]:
    pond = AreaShape(
        "water",
        "Tidal pond",
        ((20, 60), (0.8 * length_m, 70), (0.95 * length_m, 22), (0.6 * length_m, 6), (25, 14)),
        (((45.0, 30.0), (52.0, 34.0), (55.0, 27.0)),),
    )
    wood = AreaShape(
        "wood",
        "Pine wood",
        (
            (-30, -12),
            (0.5 * length_m, -11),
            (1.3 * length_m, -20),
            (1.3 * length_m, -90),
            (-30, -90),
        ),
        (),
    )
    lane = AreaShape(
        "out of bounds",
        "Sandy lane",
        ((length_m + 5, 90), (length_m + 3, -90), (length_m + 30, -90), (length_m + 30, 90)),
        (),
    )
    return ((pond, wood), (wood,), (lane, wood), (), (pond, lane))[n % 5]


def hole_line(n: int = 0) -> HoleLine:
    rng = np.random.default_rng([2026, n])
    disc = disc_lines()[(14, 7, 23, 17, 20)[n % 5]]
    length = float((92, 61, 118, 74, 104)[n % 5]) + n
    reach = min(length, disc.reach_m)
    side = float((3, 6, -4, 0, 9)[n % 5])
    along = reach - 4 + rng.normal(0, 5.5, 50) - rng.exponential(2.5, 50)
    across = side + rng.normal(0, 4.5, 50) - rng.exponential(2.0, 50)
    turn = np.linspace(0, 2 * math.pi, 36, endpoint=False)
    s = np.linspace(0.0, 1.0, 41)
    rise = float((0, 3, -6, 0.2, 1)[n % 5])
    height = 1.2 * (1 - s) + 34 * s * (1 - s) + rise * reach / length * s
    path = np.column_stack([reach * s, side * s**3 - 5.0 * s**2 * (1 - s), height])
    return HoleLine(
        ref=str(n + 1),
        name="Long heath" if n == 2 else "",
        par=3 if length < 110 else 4,
        length_m=length,
        elevation_change_m=rise,
        bearing_deg=float((40 + 97 * n) % 360),
        day="windy",
        wind_m_s=8.2,
        wind_from_deg=float((260 - 97 * n) % 360),
        wind_words="fresh breeze 8 m/s from the left",
        disc_id=disc.disc_id,
        disc_label=disc.label,
        line="backhand, 12° hyzer, low, full effort",
        aim_left_m=float((5, 0, -6, 0, 7)[n % 5]),
        aim_words="aim 5 m left of the basket" if n % 5 == 0 else "aim at the basket",
        strokes=3.04 + 0.02 * n,
        strokes_se=0.02,
        left_m=14.0,
        penalty_chance=(0.06, 0.0, 0.02, 0.0, 0.09)[n % 5],
        landing_words="ends 4 m short, give or take 7 m, and 3 m left, give or take 6",
        second_disc=disc_lines()[15].disc_id,
        second_costs=0.05,
        path=tuple(tuple(float(v) for v in p) for p in path),
        dots=tuple((float(x), float(y)) for x, y in zip(along, across, strict=True)),
        outline=tuple(
            (reach - 6 + 8.5 * math.cos(t), side - 2 + 7 * math.sin(t)) for t in map(float, turn)
        ),
        areas=_areas(n, length),
    )


def _purpose(n: int, disc_id: str, others: tuple[str, ...]) -> Purpose:
    said = (
        ("7", "tee", "windy", 96.0, "backhand, 12° hyzer, low, full effort", 1.0, 0.12, others[0]),
        ("12", "tee", "calm", 101.0, "forehand, flat, low, full effort", 0.4, 0.05, others[1]),
        ("3", "approach", "windy", 43.0, "backhand, flat, low, 60 % effort", 0.3, 0.03, others[0]),
        ("9", "approach", "calm", 47.0, "backhand, flat, low, 65 % effort", 0.2, 0.02, others[1]),
    )
    jobs = [Job(*one) for one in said]
    return Purpose(
        disc_id=disc_id,
        stand_in_cost=0.31 / (n + 1),
        stand_in_se=0.02,
        stand_ins=others[:2],
        throws=4.2 / (n + 1),
        jobs=tuple(jobs[n % 3 : n % 3 + 1 + n % 3]) if n != 19 else (),
    )


def plan_report(holes: int = 18) -> PlanReport:
    discs, chosen = disc_lines(), carried_ids()
    home = [line.disc_id for line in discs if line.disc_id not in chosen]
    purposes = tuple(
        _purpose(n, disc_id, tuple(c for c in chosen if c != disc_id)[n % 5 : n % 5 + 3])
        for n, disc_id in enumerate(chosen)
    )
    counts = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 29)
    curve = tuple(
        CurvePoint(k, 4.1 * math.exp(-0.55 * k) + 0.03 * math.exp(-k / 12), 0.03, chosen[:k])
        for k in counts
    )
    return PlanReport(
        conditions="winter",
        course="Heath by the tidal pond",
        attribution="Invented course; no real place.",
        on="2026-01-18",
        thrower="Invented player, left-handed",
        seed=7,
        limit=20,
        days=(
            DayLine("windy", 0.6, "3 °C, wet, fresh breeze 8 m/s from the west"),
            DayLine("calm", 0.4, "5 °C, damp, light breeze 2 m/s"),
        ),
        chosen=chosen,
        discs=discs,
        purposes=purposes,
        left=tuple(LeftOut(d, chosen[n], "7", 96.0, 0.01, 0.02) for n, d in enumerate(home)),
        curve=curve,
        holes=tuple(hole_line(n) for n in range(holes)),
        strokes_all=58.2,
        strokes_all_se=0.2,
        strokes_carry=58.24,
        strokes_carry_se=0.2,
        lost=0.04,
        lost_se=0.02,
        flat_from=9,
        tolerance=0.06,
        criteria=(
            ("strokes per round", 58.21, 0.0),
            ("strokes on the windy day", 61.02, 0.0),
            ("discs likely lost", 0.31, 0.004),
        ),
        certificate="No other 20 of these 29 discs cost fewer strokes in this model: proven.",
        summary=(
            "Into the wind, throw the black OL 31 low and let it fade.",
            "Inside 55 m the brown KV 6 does the work; the putters are for putting.",
            "Over the pond take the rose NH 27: it floats.",
        ),
        assumptions_changed=(("shelter_factor", 0.7),),
    )


def swap_report() -> SwapReport:
    ids = [line.disc_id for line in disc_lines()]
    grip, wind = Cause("grip", 0.06, True), Cause("wind", 0.02, False)
    return SwapReport(
        old="summer",
        new="winter",
        course="Heath by the tidal pond",
        swaps=(
            Swap(ids[16], ids[14], 0.08, 0.02, False, grip, (grip, wind)),
            Swap(ids[19], ids[18], 0.01, 0.02, True, None, (wind, grip)),
            Swap(ids[28], None, 0.0, 0.0, True, None, ()),
        ),
        sentences=(
            f"{ids[16]} out, {ids[14]} in, because of grip: it saves 0.08 strokes a round.",
            f"{ids[19]} out, {ids[18]} in: equal to within the error, so either may go.",
            f"{ids[28]} stays home.",
        ),
        summary="Two discs change places for winter and one stays home; grip is the reason.",
    )


def cart_scene() -> CartScene:
    cart = Cart(
        "Light two-wheel cart",
        3.2,
        0.09,
        0.42,
        0.42,
        0.3,
        0.1,
        (
            Pocket("front slot", 2, 0.2, 0.0, 0.45, 0.1, 1),
            Pocket("main well", 14, 0.1, 0.0, 0.45, 0.6, 2),
            Pocket("upper pouch", 6, -0.12, 0.0, 0.88, 0.9, 3),
        ),
        (
            CartItem("water bottle", 1.0, -0.03, 0.12, 0.7),
            CartItem("towel", 0.2, 0.05, -0.1, 0.75),
            CartItem("umbrella", 0.6, 0.0, -0.14, 0.7),
        ),
    )
    discs = [PackingDisc(d, 0.172, 4.2 / (n + 1)) for n, d in enumerate(carried_ids())]
    return CartScene(cart, pack(cart, discs), alternatives(cart, discs))


def flight(range_m: float, left_m: float, apex_m: float = 8.0) -> Flight:
    """A plain arc that ends where it is told: what is drawn is known beforehand."""
    s = np.linspace(0.0, 1.0, 121)
    height = 1.2 * (1 - s) + 4 * (apex_m - 0.6) * s * (1 - s)
    path = np.column_stack([range_m * s, left_m * s**2 - 3.0 * s * (1 - s), height])
    still = np.zeros(3)
    return Flight(
        time_s=3.0 * s,
        position_m=path,
        axis=np.tile([0.0, 0.0, 1.0], (121, 1)),
        spin_rad_s=np.full(121, 90.0),
        landing_m=path[-1],
        landing_velocity_m_s=still,
        landing_axis=np.array([0.0, 0.0, 1.0]),
        rest_m=path[-1] + np.array([4.0, math.copysign(1.0, left_m), 0.0]),
        apex_m=float(path[:, 2].max()),
        hang_s=3.0,
        landed=True,
    )


def hill(middle_m: float, sd_m: float) -> Hill:
    """Return a belief that is a normal distribution."""
    at = np.linspace(middle_m - 4.0 * sd_m, middle_m + 4.0 * sd_m, 81)
    per = np.exp(-0.5 * ((at - middle_m) / sd_m) ** 2) / (sd_m * math.sqrt(2.0 * math.pi))
    end = 1.2816 * sd_m  # eight of ten
    return Hill(middle_m, middle_m - end, middle_m + end, tuple(at.tolist()), tuple(per.tolist()))


def belief_strip() -> BeliefStrip:
    """Return a strip with evidence of every kind on both sides."""
    return BeliefStrip(
        "nh27-blue",
        hill(2.0, 6.0),
        hill(-3.0, 2.0),
        (-3.0, -5.5, 1.0, -2.0),
        4,
        (
            Pull("plainly more stable than", "kv15", -3.4),
            Pull("slightly less stable than", "ol5", 1.2),
            Pull("about as stable as", "ej4", 0.2),
            Pull("slightly more stable than", "nh14", -0.8),
        ),
    )


def served_ground() -> ServedGround:
    """Return ground that three discs serve: two parts of the first, one of them dear."""
    ids = carried_ids()
    parts = (
        (ids[0], (0.0, -80.0), 3.0, 0.2, 0.0),
        (ids[1], (60.0, 10.0), 2.0, 0.0, 0.05),
        (ids[0], (-40.0, 30.0), 1.5, -0.1, 0.0),
        (ids[2], (-49.0, 36.0), 0.4, 0.0, 0.0),
    )
    turns = [math.radians(angle) for angle in range(0, 360, 15)]
    return ServedGround(
        "windy", 8.0, 270.0,
        tuple(
            Territory(
                disc, "", (tuple((x + 9 * math.cos(t), y + 9 * math.sin(t)) for t in turns),),
                (x, y), 9.0, throws, math.hypot(x, y) - 5.0, math.hypot(x, y), dearer, missed,
            )
            for disc, (x, y), throws, dearer, missed in parts
        ),
        tuple((x, y, throws) for _, (x, y), throws, _, _ in parts),
    )  # fmt: skip
