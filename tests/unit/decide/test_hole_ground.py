"""What a course knows of a hole, as the solver plays it: each thing changes where play goes on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hole_worlds import BREEZE, PUTTING, everything, fleet_of, marked, open_hole, thrower, world
from rimwise.course.geometry import BITS
from rimwise.course.raster import HoleGround
from rimwise.course.woods import hits_per_m
from rimwise.decide import _terrain
from rimwise.decide.clouds import Simulator
from rimwise.decide.fresh import hazards, kinds, losses
from rimwise.decide.lattice import FREE, KIND_ON, KINDS, LOW_CEILING, NO_RUN_UP, RESTRICTED
from rimwise.decide.lines import EFFORTS
from rimwise.decide.posing import Sizes, sheltered
from rimwise.decide.rounds import solve_holes
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area, AreaKind, Course, DropZone, Mandatory, Side, Trouble

ASSUME = Assumptions()
SQUARE = ((20.0, -10.0), (40.0, -10.0), (40.0, 10.0), (20.0, 10.0))
LOWER = (*SQUARE[:2], (40.0, 0.0), (20.0, 0.0))
#: Sizes for what only has to run.
TINY = Sizes(screening=8, choosing=16, kept=1, considered=8, best=2, nudged=0, pool=64, least=8)


def drawn(*areas: Area, **more) -> Course:
    return replace(open_hole(90.0), areas=areas, **more)


def ends(course: Course, *lines) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Settle straight flights through points (x, y), 2 m high, that stop where they come down."""
    problem = world(course).problem()
    points = np.array([[(x, y, 2.0) for x, y in line] for line in lines])
    rest = np.ascontiguousarray(points[:, -1, :2])
    where, codes = np.empty_like(rest), np.empty(len(rest), dtype=np.uint8)
    patience = np.full(len(rest), 1e6)
    _terrain.settle(problem.ground_cells(1.0), points, rest, patience, where, codes)
    gone = losses(np.repeat(problem.prices[:1], len(codes), axis=0), codes)
    return where, codes, gone


def test_the_compiled_bits_are_those_of_the_map():
    names = {
        AreaKind.WATER: "WATER", AreaKind.OUT_OF_BOUNDS: "OUT", AreaKind.WOOD: "WOOD",
        AreaKind.FAIRWAY: "FAIRWAY", AreaKind.THICK: "THICK", AreaKind.NO_RUN_UP: "NO_RUN_UP",
        AreaKind.LOW_CEILING: "LOW_CEILING",
    }  # fmt: skip
    assert {kind: getattr(_terrain, name) for kind, name in names.items()} == BITS


def test_compiled_kinds_of_lie_are_those_of_the_lattice():
    playable = [AreaKind.WOOD, AreaKind.NO_RUN_UP, AreaKind.LOW_CEILING, AreaKind.THICK]
    for mask in range(16):
        kinds_here = [kind for n, kind in enumerate(playable) if mask >> n & 1]
        _, codes, _ = ends(drawn(*(Area(kind, SQUARE) for kind in kinds_here)), [(0, 0), (30, 0)])
        assert kinds(codes)[0] == KIND_ON[sum(BITS[kind] for kind in kinds_here)]
    assert {int(kind) for kind in KIND_ON} == set(KINDS)


def test_a_wood_has_its_own_stems_and_height_and_the_denser_counts():
    thin = Area(AreaKind.WOOD, SQUARE, stems_per_ha=100.0, canopy_m=20.0)
    dense = Area(AreaKind.WOOD, LOWER, stems_per_ha=2000.0, canopy_m=5.0)
    course = drawn(thin, dense)
    ground = HoleGround.build(course, course.holes[0], ASSUME)
    row, column = (int(v - c) for v, c in ((5.0, ground.corner_m[1]), (30.0, ground.corner_m[0])))
    assert ground.hits_per_m[row, column] == np.float32(hits_per_m(thin, ASSUME))
    assert ground.hits_per_m[row - 10, column] == np.float32(hits_per_m(dense, ASSUME))
    assert ground.canopy_m[row - 10, column] == 20.0


def test_what_is_drawn_on_a_course_of_lengths_alone_is_played():
    course = marked()
    ground = HoleGround.build(course, course.holes[0], ASSUME)
    assert not course.bearings_known
    assert ground.wooded
    assert ground.guarded
    assert ground.marked
    np.testing.assert_allclose(ground.marks, [(42.0, -4.0, 1.0)], atol=1e-9)  # left: y is positive
    np.testing.assert_allclose(ground.zones[0], (47.0, -3.0, 1.0), atol=1e-9)
    assert not ground.zones[1:].any()


def test_thick_rough_hides_discs_but_not_on_a_fairway_through_it():
    mown = Area(AreaKind.FAIRWAY, LOWER)
    course = drawn(Area(AreaKind.THICK, SQUARE), mown)
    _, _, gone = ends(course, [(0, 0), (30, 5)], [(0, 0), (30, -5)], [(0, 0), (50, 0)])
    assert gone.tolist() == [ASSUME.thick_loss_chance, 0.0, ASSUME.rough_loss_chance]


def test_discs_are_lost_more_often_by_season_light_and_colour():
    autumn = replace(BREEZE, cover="leaves", dusk=True)
    plain, there = (world(open_hole(90.0), day).problem().prices for day in (BREEZE, autumn))
    season = ASSUME.leaves_loss * ASSUME.dusk_loss
    colour = ASSUME.hidden_colour_loss
    for column in (4, 6, 7):
        expected = plain[:, column] * season * np.array([1.0, 1.0, colour])  # the driver is red
        np.testing.assert_allclose(there[:, column], np.minimum(expected, 0.95))


def test_a_mandatory_passed_wrong_is_thrown_again_from_the_same_lie():
    course = drawn(mandatories=(Mandatory("1", (30.0, 2.0), Side.RIGHT),))
    around = [(5, 0), (31, 4), (60, 0)]  # crosses the line on the left of the mark
    fair = [(5, 0), (31, 0), (60, 0)]
    short, beyond = [(5, 0), (15, 20), (29, 30)], [(35, 20), (40, 20), (60, 0)]
    where, codes, gone = ends(course, around, fair, short, beyond)
    assert hazards(codes).tolist() == [3, 0, 0, 0]
    assert where[0].tolist() == [5.0, 0.0]
    assert gone[0] == 0.0
    cost, again = _terrain.landing_cost(world(course).problem().prices[0], int(codes[0]))
    assert (cost, again) == (1.0 + ASSUME.mandatory_strokes, 1.0)


def test_a_mandatory_with_a_drop_zone_is_played_from_there():
    zones = (DropZone("1", (25.0, 6.0)), DropZone("1", (27.0, -3.0), Trouble.MANDATORY))
    course = drawn(mandatories=(Mandatory("1", (30.0, 2.0), Side.LEFT),), drop_zones=zones)
    where, codes, _ = ends(course, [(5, 0), (31, 0), (60, 0)])
    assert where[0].tolist() == [27.0, -3.0]
    cost, again = _terrain.landing_cost(world(course).problem().prices[0], int(codes[0]))
    assert (cost, again) == (1.0 + ASSUME.mandatory_strokes, 0.0)


@pytest.mark.parametrize("kind", [AreaKind.WATER, AreaKind.OUT_OF_BOUNDS])
@pytest.mark.parametrize(
    ("after", "played"),
    [(Trouble.ANY, "both"), (Trouble.WATER, AreaKind.WATER), (Trouble.MANDATORY, "none"),
     (Trouble.OUT_OF_BOUNDS, AreaKind.OUT_OF_BOUNDS)],
)  # fmt: skip
def test_a_drop_zone_is_played_after_its_own_trouble(kind, after, played):
    low = Area(AreaKind.LOW_CEILING, ((9, -20), (16, -20), (16, -10), (9, -10)))
    course = drawn(Area(kind, SQUARE), low, drop_zones=(DropZone("1", (12.0, -15.0), after),))
    where, codes, _ = ends(course, [(0, 0), (30, 0)])
    assert hazards(codes)[0] == (1 if kind is AreaKind.WATER else 2)
    if played in ("both", kind):
        assert where[0].tolist() == [12.0, -15.0]
        assert kinds(codes)[0] == LOW_CEILING
    else:
        assert where[0] == pytest.approx((20.0, 0.0), abs=0.1)
        assert kinds(codes)[0] == FREE


def test_each_kind_of_lie_has_its_own_limits():
    problem = world(marked(), assume=replace(ASSUME, no_run_up_effort=0.6)).problem()
    launch = np.array([base.launch_deg for base in world(marked()).simulator.bases])
    effort = EFFORTS[0] + problem.most * (EFFORTS[1] - EFFORTS[0])
    expected = {FREE: 1.0, RESTRICTED: 0.7, NO_RUN_UP: 0.6, LOW_CEILING: 1.0}
    for kind, most in expected.items():
        assert effort[kind] == pytest.approx(most)
        low = kind in (RESTRICTED, LOW_CEILING)
        assert problem.allowed[kind].tolist() == ((launch <= 10.0) | (not low)).tolist()


def test_policies_keep_to_the_limits_of_their_lies():
    here = world(marked(), sizes=TINY)
    valued = here.solved().valued
    policy, lies = valued.policy, valued.policy.problem.lattice.lies
    actions, aims = policy.aimed(lies, np.arange(len(lies)))
    launch = np.array([here.simulator.bases[int(b)].launch_deg for b in actions[:, 1]])
    for kind in (RESTRICTED, NO_RUN_UP, LOW_CEILING):
        assert (lies[:, 2] == kind).any()
    visited = valued.visits > 0
    assert (launch[visited & np.isin(lies[:, 2], (RESTRICTED, LOW_CEILING))] <= 10.0).all()
    assert (aims[np.isin(lies[:, 2], (RESTRICTED, NO_RUN_UP)), 0] <= 0.7 + 1e-9).all()


def test_a_hole_has_its_own_shelter():
    hole = replace(everything().holes[0], shelter=0.25)
    calmer = sheltered(BREEZE, hole, replace(ASSUME, shelter_factor=0.5))
    assert calmer.wind.speed_m_s == 0.5 * BREEZE.wind.speed_m_s
    assert calmer.wind.sd_m_s == 0.5 * BREEZE.wind.sd_m_s
    assert sheltered(BREEZE, replace(hole, shelter=None), ASSUME) is BREEZE


def test_solved_holes_are_flown_in_their_own_wind():
    one = open_hole(60.0).holes[0]
    holes = (one, replace(one, ref="2", shelter=0.0))
    assume = ASSUME
    fleet, simulator = fleet_of(("putter",), assume), Simulator(thrower(), assume)
    plans = solve_holes(
        simulator, fleet, [BREEZE], Course("two", holes), PUTTING, assume, sizes=TINY
    )
    assert [plan.days[0].day.wind.speed_m_s for plan in plans] == [BREEZE.wind.speed_m_s, 0.0]
    assert [plan.hole.ref for plan in plans] == ["1", "2"]
    directions = [plan.days[0].valued.policy.sky.points.shape[1] for plan in plans]
    assert directions == [8, 1]
