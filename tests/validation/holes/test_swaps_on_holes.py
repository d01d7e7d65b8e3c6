"""What a swap saves on solved holes, against rounds played by an independent simulator.

Both carries are solved for themselves and played forward on throws of their own; what the table
of one of them tells of the swap has to be the difference, but for what follows a throw, which the
table takes from the carry that has the better disc.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from forward_play import Player, play
from hole_worlds import BREEZE, PUTTING, SMALL, fleet_of, open_hole, thrower
from rimwise.decide.clouds import Simulator
from rimwise.decide.on_holes import Holes
from rimwise.decide.swaps import find_swaps
from rimwise.records.assumptions import Assumptions

PUTTER, MIDDLE, DRIVER = range(3)
#: What follows a throw is the better carry's in the table, which favours the other one.
FOLLOWS = 0.2


@pytest.mark.parametrize("into", [MIDDLE, DRIVER])
def test_a_swap_saves_what_play_with_either_carry_says(into: int) -> None:
    assume, course = Assumptions(), open_hole(110.0)
    simulator, fleet = Simulator(thrower(), assume), fleet_of(assume=assume)
    sizes = replace(SMALL, choosing=512, pool=1024)
    holes = Holes(simulator, fleet, [BREEZE], course, PUTTING, assume, sizes=sizes)
    table = holes.table((into,))
    arm = replace(BREEZE, arm=0.9)
    (swap,) = find_swaps(simulator, [arm], [PUTTER], table, [into], assume)
    assert (swap.out, swap.into, swap.tie) == ("putter", fleet.ids[into], False)
    played = {}
    for seed, disc in enumerate((PUTTER, into)):
        policy = holes.solved((disc,))[0].days[0].valued.policy
        player = Player(simulator, fleet.subset([disc]), BREEZE, assume)
        played[disc] = play(policy, player, PUTTING, course, course.holes[0], seed, 8000).mean()
    (before, before_se), (after, after_se) = played[PUTTER], played[into]
    saved = before - after
    error = math.hypot(swap.saves_se, math.hypot(before_se, after_se))
    assert abs(saved - swap.saves) <= 3.0 * error + FOLLOWS * saved
    assert 3.0 * error + FOLLOWS * saved < 0.8 * saved  # else the line above says nothing
