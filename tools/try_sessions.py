"""Does a chosen field session beat a random one and an even one? On invented owners.

Usage: ``python tools/try_sessions.py [--owners N] [--first SEED] [--throws N] [--comparisons N]``.

Each owner has 16 discs, a little evidence, and a course of four lengths in a calm and a windy
day. From what is believed, three sessions of as many throws and comparisons are laid out: chosen
(``rimwise field``), random, and the same for every disc. Each is thrown by the hidden truth and
learnt from, and a carry of five and its lines are chosen from what is then believed. Counted are
true strokes: those lines thrown with the discs as they truly are. Sessions of one owner are
compared with each other, so that what owners differ in drops out. What the chosen session was said
to save off the tees stands beside what it saved.
"""

from __future__ import annotations

import argparse
import math
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.imagined import imagine_comparison, imagine_throws
from rimwise.beliefs.learn import learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import FIRST_DAY, Owner, imagine_owner
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import Wishes, choose_carry
from rimwise.decide.clouds import REPORTING, Simulator
from rimwise.decide.days import Day, day_of
from rimwise.decide.demand import Demand, build_demand, prices_for
from rimwise.decide.field_session import BLOCK, Ask, Worth, design_session, session_worth
from rimwise.decide.stakes import doubt_of, stakes_of
from rimwise.flight.printed import Printed
from rimwise.records.conditions import ScenarioDay
from rimwise.records.courses import Course, Hole
from rimwise.records.discs import role_of
from rimwise.records.evidence import Comparison, Quality, Throw
from rimwise.records.thrower import Scatter

Floats = NDArray[np.float64]

LIMIT, DISCS = 5, 16
PUTTING = PuttingModel(2.0)
DAYS = (
    ScenarioDay("calm", 1.0, 18.0, 1013.25, 0.6, 0.0, 0.0),
    ScenarioDay("windy", 1.0, 10.0, 1013.25, 0.7, 7.0, 200.0),
)
LENGTHS_M = (55.0, 70.0, 85.0, 105.0)
#: What is thrown between planning and planning again.
PLANS = ("nothing", "random", "even", "chosen")


@dataclass(frozen=True)
class Tried:
    """True strokes a round of one owner after each plan of :data:`PLANS`, and what was told."""

    seed: int
    strokes: dict[str, float]
    told: Worth


def course_of() -> Course:
    """Return open holes of four lengths in four directions."""
    turns = np.radians([0.0, 90.0, 180.0, 270.0])
    holes = tuple(
        Hole(str(n + 1), (0.0, 0.0), (length * math.sin(turn), length * math.cos(turn)), 3)
        for n, (length, turn) in enumerate(zip(LENGTHS_M, turns, strict=True))
    )
    return Course("invented", holes)


@dataclass(frozen=True, eq=False)
class World:
    """One owner's course and discs, as believed and as they are."""

    owner: Owner
    days: tuple[Day, ...]
    course: Course

    def simulator(self, beliefs: Posterior) -> Simulator:
        """Return what flies throws as believed, with few samples."""
        arms = tuple(beliefs.arm(style) for style in beliefs.unknowns.styles)
        return Simulator(
            beliefs.thrower(), self.owner.assume, seed=self.owner.u.size, screening=16,
            choosing=32, reporting=512, threads=1, learnt_arms=arms,
        )  # fmt: skip

    def demand(self, beliefs: Posterior) -> Demand:
        """Return the demand table as believed."""
        fleet = beliefs.learnt_fleet(self.owner.fleet)
        sim = replace(self.simulator(beliefs), reporting=32)
        return build_demand(sim, fleet, self.days, self.course, PUTTING, self.owner.assume)

    def truth(self) -> Posterior:
        """Return beliefs that know everything."""
        owner = self.owner
        known = prior_posterior(owner.unknowns)
        scatter = tuple(Scatter(float(row[0]), *np.degrees(row[1:])) for row in owner.scatter)
        nothing = 1e-12 * np.eye(len(owner.u))
        return replace(known, mean=owner.u, mode=owner.u, covariance=nothing, scatter=scatter)

    def true_strokes(self, demand: Demand, truth: Posterior, right: Demand) -> float:
        """Return what the lines of a demand table really cost off the tees, per round.

        What follows a tee shot is valued alike for all plans, by the table that knows the truth.
        """
        chosen = choose_carry(demand, Wishes(LIMIT)).chosen
        serves = demand.serves(chosen)
        simulator, fleet = self.simulator(truth), truth.learnt_fleet(self.owner.fleet)
        total = 0.0
        for number, day in enumerate(self.days):
            rows = [i for i, row in enumerate(demand.rows)
                    if row.day == number and row.kind == "tee"]  # fmt: skip
            lies = [demand.rows[i].lie for i in rows]
            actions = replace(demand.actions, table=demand.actions.table[rows])
            thrown = simulator.throw_actions(fleet, day, lies, actions, REPORTING)
            prices = prices_for(fleet, day, self.owner.assume)
            cost, _ = thrown.price(right.values[number].strokes, prices)
            for place, row in enumerate(rows):
                total += demand.rows[row].weight * float(cost[place, serves[row]].mean())
        return total


def pairs_of(world: World) -> list[tuple[int, int]]:
    """Return the pairs of discs of one role, as ``rimwise field`` asks for."""
    speeds = world.owner.fleet.printed[:, 0]
    roles = [role_of(Printed(float(speed), 5.0, 0.0, 1.0)) for speed in speeds]
    count = len(roles)
    return [(a, b) for a in range(count) for b in range(a + 1, count) if roles[a] == roles[b]]


def chosen_session(
    world: World, beliefs: Posterior, throws: int, comparisons: int
) -> tuple[list[Ask], Worth]:
    """Lay out a session as ``rimwise field`` does; return it and what it saves off the tees."""
    fleet, demand = beliefs.learnt_fleet(world.owner.fleet), world.demand(beliefs)
    carried = choose_carry(demand, Wishes(LIMIT)).chosen
    stakes = stakes_of(world.simulator(beliefs), fleet, demand, carried, world.owner.assume)
    doubt = doubt_of(beliefs, fleet)
    asks = design_session(stakes, doubt, throws, comparisons, pairs=pairs_of(world)).asks
    tees = np.array([row.kind == "tee" for row in demand.rows])
    off_tees = replace(stakes, weight=stakes.weight * tees)
    return list(asks), session_worth(off_tees, doubt, asks)


def other_asks(
    plan: str, world: World, throws: int, comparisons: int, random: np.random.Generator
) -> list[Ask]:
    """Lay out a session without thinking."""
    discs, pairs = len(world.owner.fleet), pairs_of(world)
    if plan == "nothing":
        return []
    picked = random.choice(len(pairs), min(comparisons, len(pairs)), replace=False)
    compared = [Ask(*pairs[i]) for i in picked]
    if plan == "even":
        order = [int(d) for d in random.permutation(discs)]
        return [Ask(order[i % discs], throws=1) for i in range(throws)] + compared
    blocks = [int(d) for d in random.integers(discs, size=throws // BLOCK)]
    return [Ask(d, throws=BLOCK) for d in blocks] + compared


def thrown(owner: Owner, asks: list[Ask], random: np.random.Generator) -> Evidence:
    """Return the evidence with a session added, thrown by the hidden truth."""
    on = FIRST_DAY + timedelta(days=60)
    ids, felt = owner.fleet.ids, owner.felt()
    asked = tuple(
        Throw(on, ids[ask.disc], owner.thrower.stock, 50.0, 0.0, "mild")
        for ask in asks for _ in range(ask.throws if ask.other is None else 0)
    )  # fmt: skip
    landed = imagine_throws(
        owner.unknowns, owner.u, owner.scatter, Evidence(asked, days=owner.evidence.days), random,
        shank_chance=0.05,
    )  # fmt: skip
    answers = []
    for ask in asks:
        if ask.other is not None:
            question = Comparison(on, ids[ask.disc], ids[ask.other], Quality.STABILITY)
            said = imagine_comparison(question, felt, ids, owner.unknowns, random)
            answers.append(said or replace(question, alike=True))
    before = owner.evidence
    return replace(
        before, throws=before.throws + landed, comparisons=before.comparisons + tuple(answers)
    )


def try_owner(task: tuple[int, int, int]) -> Tried:
    """Return what one owner scores after each plan."""
    seed, throws, comparisons = task
    owner = imagine_owner(seed, discs=DISCS, throws=16, comparisons=3)
    days = tuple(day_of(day, 0.5, owner.thrower, owner.assume) for day in DAYS)
    world = World(owner, days, course_of())
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, owner.evidence, threads=1)
    truth = world.truth()
    right = world.demand(truth)
    strokes = {"everything known": world.true_strokes(right, truth, right)}
    chosen, told = chosen_session(world, beliefs, throws, comparisons)
    for plan in PLANS:
        random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0x5E55,)))
        asks = chosen
        if plan != "chosen":
            asks = other_asks(plan, world, throws, comparisons, random)
        evidence = thrown(owner, asks, random)
        after = learn(owner.fleet, owner.thrower, owner.assume, evidence, start=beliefs, threads=1)
        strokes[plan] = world.true_strokes(world.demand(after), truth, right)
    return Tried(seed, strokes, told)


def main() -> None:
    """Try owners and print what each plan saves against another."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=60)
    asking.add_argument("--first", type=int, default=600_000)
    asking.add_argument("--throws", type=int, default=20)
    asking.add_argument("--comparisons", type=int, default=10)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    tasks = [
        (seed, given.throws, given.comparisons)
        for seed in range(given.first, given.first + given.owners)
    ]
    with ProcessPoolExecutor(given.workers) as pool:
        tried = list(pool.map(try_owner, tasks))
    print(f"{len(tried)} owners, {given.throws} throws and {given.comparisons} comparisons")
    print("| plan | true strokes above everything known | saved by the chosen session |")
    print("|---|---|---|")
    for plan in PLANS:
        above = [one.strokes[plan] - one.strokes["everything known"] for one in tried]
        saved = [one.strokes[plan] - one.strokes["chosen"] for one in tried]
        print(f"| {plan} | {_told(above)} | {_told(saved)} |")
    told = {"gain": [one.told.gain for one in tried], "choice": [one.told.choice for one in tried],
            "aim": [one.told.aim for one in tried]}  # fmt: skip
    real = [one.strokes["nothing"] - one.strokes["chosen"] for one in tried]
    print("said to save: " + ", ".join(f"{what} {_told(each)}" for what, each in told.items()))
    print(f"saved: {_told(real)}")


def _told(values: list[float]) -> str:
    error = np.std(values, ddof=1) / math.sqrt(len(values))
    return f"{np.mean(values):.4f} ± {error:.4f}"


if __name__ == "__main__":
    main()
