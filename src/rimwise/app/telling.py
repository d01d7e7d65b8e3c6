"""Sentences: what the numbers say, in a player's words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.carry import (
    BAD_THROWS,
    HARSHEST,
    KNOWN,
    LEAST_CHANGE,
    NO_DOUBLES,
    SPARES,
    CarryChoice,
    CurveStep,
)
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day
from rimwise.decide.demand import Demand
from rimwise.decide.on_holes import Holes, OnHoles
from rimwise.decide.overlaps import HARDLY
from rimwise.decide.report import AreaShape, HoleLine, Work
from rimwise.decide.scenes import DOTS, Scene
from rimwise.decide.swaps import Swap
from rimwise.records import words
from rimwise.records.conditions import ScenarioDay
from rimwise.records.words import Units

__all__ = [
    "certificate",
    "day_words",
    "flat_from",
    "hole_line",
    "on_holes",
    "summary",
    "swap_words",
    "swaps_summary",
    "work_words",
]

#: The curve counts as flat from where all further discs together save less than this a round:
#: a stroke in twenty rounds.
FLAT_STROKES = 0.05
#: A throw aimed nearer to the basket than this is "at the basket".
AT_BASKET_M = 1.0


def flat_from(curve: Sequence[CurveStep]) -> int:
    """Return the number of discs from which on the curve is flat.

    That is the smallest number that loses no more than ``FLAT_STROKES`` against everything
    owned, and neither does any larger one.
    """
    flat = curve[-1].discs
    for step in reversed(curve):
        if step.lost > FLAT_STROKES:
            break
        flat = step.discs
    return flat


def summary(
    demand: Demand,
    choice: CarryChoice,
    curve: Sequence[CurveStep],
    flat: int,
    carried: tuple[float, float],
    order: Sequence[str],
    kept_from: str | None,
) -> tuple[str, ...]:
    """Say what the carry costs, how little the last discs matter, and how they were chosen."""
    chosen = choice.chosen
    lost, lost_se = demand.difference(chosen, range(len(demand.fleet)))
    count = words.plural(len(chosen), "disc")
    these = "this" if len(chosen) == 1 else "these"
    told = [
        f"With {these} {count} you should need {words.strokes(*carried)}, for a round.",
        "That is every disc that you have at hand."
        if len(chosen) == len(demand.fleet)
        else _everything_words(lost, lost_se),
    ]
    step = next((s for s in curve if s.discs == flat), curve[-1])
    if flat < len(chosen):
        rest, rest_se = demand.difference(step.chosen, chosen)
        more = len(chosen) - flat
        others = "the last one saves" if more == 1 else f"the other {more} together save"
        told.append(
            f"{words.plural(flat, 'disc')} would do nearly all of it: {others} "
            f"{words.strokes(max(rest, 0.0), rest_se)}, a round."
        )
        told.append(_order_words(choice, order, kept_from, len(demand.days)))
    idle = _hardly_thrown(demand, chosen)
    if idle:
        harsh = " for the harshest day," if len(demand.days) > 1 else ""
        told.append(
            f"Hardly ever thrown on this course: {words.joined(idle)}. They go as spares,{harsh} "
            "or because you ask for them."
        )
    return tuple(told)


def _order_words(
    choice: CarryChoice, order: Sequence[str], kept_from: str | None, days: int
) -> str:
    """Say what decided among carries that are equal in strokes, in its order.

    On one kind of day alone the harshest day is every day, and goes without saying.
    """
    said = {
        HARSHEST: f"by the harshest day ({choice.harshest_day})",
        BAD_THROWS: "by how the worst tenth of throws end",
        KNOWN: "by how well the discs are known",
        NO_DOUBLES: "by carrying few that fly alike",
        LEAST_CHANGE: f"by changing little from {kept_from}",
    }
    went = [said[name] for name in order if name in said and (name != LEAST_CHANGE or kept_from)]
    equal = f"among carries equal to within {choice.tolerance:.2f} strokes"
    left = "what room is left stays empty, as you ask"
    if SPARES in order:
        left = "any room left went to spares for what is most likely lost"
    if days == 1 and HARSHEST in order:
        went.remove(said[HARSHEST])
        if not went:
            return f"Among carries that are equal to within {choice.tolerance:.2f} strokes, {left}."
    if not went:
        return f"Nothing else decided {equal}, and {left}."
    return f"So {equal}, the choice went {', then '.join(went)}, and {left}."


def on_holes(holes: Holes, found: OnHoles, before: Sequence[int]) -> tuple[str, ...]:
    """Say what choosing again on solved holes came to, against the carry chosen by distance."""
    held, ids = holes.against(found.chosen, before), holes.fleet.ids
    played = holes.against(found.chosen, found.chosen)
    told = "Chosen again from what every hole asks for, woods, water and penalties included"
    if found.choice is None:
        told += ", the carry stays as it was"
    else:
        out = words.joined([ids[disc] for disc in before if disc not in found.chosen]) or "nothing"
        into = words.joined([ids[disc] for disc in found.chosen if disc not in before]) or "nothing"
        told += (
            f": {out} out, {into} in, which saves {words.strokes(held.dearer, held.dearer_se)}, "
            "a round"
        )
    playing = words.strokes(played.strokes, played.strokes_se)
    told += f". Played like that, a round should take {playing}"
    return (f"{told}; the other figures here look ahead by distance alone.",)


def _hardly_thrown(demand: Demand, chosen: Sequence[int]) -> list[str]:
    """Return the carried discs that make next to no throw a round."""
    serves, weights = demand.serves(chosen), demand.weights
    thrown = {disc: float(weights[serves == disc].sum()) for disc in chosen}
    return [demand.fleet.ids[disc] for disc in chosen if thrown[disc] < HARDLY]


def _everything_words(lost: float, lost_se: float) -> str:
    if lost <= 2.0 * lost_se or lost < 0.005:
        return "Bringing everything you own would save nothing that can be told from luck."
    return f"Bringing everything you own would save {words.strokes(lost, lost_se)}, a round."


def certificate(choice: CarryChoice, simulator: Simulator, demand: Demand) -> str:
    """Say how exact the choice is and on what it rests."""
    gap = max(abs(gap) for _, _, gap in choice.criteria)
    proof = (
        "Proven on the table of throws: no set that follows your rules needs fewer strokes by more "
        f"than {choice.tolerance:.3f} a round, and among sets as good as that none does better by "
        "the later criteria, taken in their order"
        if gap < 1e-6
        else f"The proof was stopped: another set could do better by at most {gap:.4f} strokes"
    )
    return (
        f"{proof}. The table has {len(demand.rows)} kinds of throw and {len(demand.fleet)} discs. "
        f"Lines were screened on {simulator.screening} simulated throws each, discs chosen on "
        f"{simulator.choosing} others, and every figure here comes from {simulator.reporting} "
        f"more that had no part in choosing. Seed {simulator.seed}."
    )


def day_words(day: ScenarioDay, units: Units) -> str:
    """Say "3 °C, wet, strong breeze 9 m/s from 230°, gusts 14 m/s, wet ground"."""
    parts = [words.temperature(day.temperature_c, units), "wet" if day.wet else "dry"]
    wind = words.wind_words(day.wind_speed_m_s, None, units)
    if wind != "calm":
        wind += f" from {words.number(day.wind_from_deg)}°"
    parts.append(wind)
    if day.gust_m_s is not None:
        parts.append(f"gusts {words.wind_speed(day.gust_m_s, units)}")
    parts.append(f"{day.ground} ground")
    return ", ".join(parts)


def hole_line(demand: Demand, scene: Scene, units: Units) -> HoleLine:
    """Put one tee into numbers and words."""
    row, day = demand.rows[scene.row], demand.days[scene.day]
    fleet, hole = demand.fleet, scene.hole
    from_deg = (day.wind.from_deg - row.lie.bearing_deg) % 360.0
    aim_left_m = math.tan(scene.turn_rad) * hole.length_m
    strokes = scene.strokes
    return HoleLine(
        ref=hole.ref,
        name=hole.name,
        par=hole.par,
        length_m=hole.length_m,
        elevation_change_m=hole.elevation_change_m,
        bearing_deg=row.lie.bearing_deg if scene.bearing_known else None,
        day=day.name,
        wind_m_s=day.wind.speed_m_s,
        wind_from_deg=from_deg,
        wind_words=_hole_wind(day, from_deg, scene, units),
        disc_id=fleet.ids[scene.disc],
        disc_label=fleet.labels[scene.disc],
        line=demand.words(scene.row, scene.disc),
        aim_left_m=aim_left_m,
        aim_words=_aim_words(aim_left_m, units),
        strokes=float(strokes.mean()),
        strokes_se=float(strokes.std(ddof=1) / math.sqrt(len(strokes))),
        left_m=float(np.median(scene.rest_m[:, 1])),
        penalty_chance=scene.water + scene.out,
        landing_words=_landing_words(scene, units),
        second_disc="" if scene.second is None else fleet.ids[scene.second],
        second_costs=scene.second_costs,
        path=_rounded(scene.path_m),
        dots=_rounded(scene.rest_m[:DOTS]),
        outline=_rounded(scene.outline_m),
        areas=tuple(
            AreaShape(
                kind=str(area.kind),
                name=area.name,
                ring=_rounded(area.ring),
                openings=tuple(_rounded(opening) for opening in area.openings),
            )
            for area in scene.areas
        ),
    )


def _hole_wind(day: Day, from_deg: float, scene: Scene, units: Units) -> str:
    told = words.wind_words(day.wind.speed_m_s, from_deg, units)
    if scene.bearing_known or told == "calm":
        return told
    return f"{told}, as if the hole pointed north, for its direction is not known"


def _rounded(points: NDArray[np.float64]) -> tuple[Any, ...]:
    """Round to a centimetre: more digits would only swell the records."""
    return tuple(tuple(round(float(v), 2) for v in point) for point in points)


def _aim_words(aim_left_m: float, units: Units) -> str:
    if abs(aim_left_m) < AT_BASKET_M:
        return "aim at the basket"
    return f"aim {words.sideways(aim_left_m, units)} of the basket"


def _landing_words(scene: Scene, units: Units) -> str:
    """Say where the middle throw ends against the basket, and what can go wrong."""
    short = scene.hole.length_m - scene.rest_m[:, 0]
    left = scene.rest_m[:, 1]
    middle = float(np.median(short))
    spread = _half_width(short)
    along = words.distance(abs(middle), units)
    ends = "short" if middle > 0 else "past"
    told = (
        f"ends {along} {ends}, give or take {words.distance(spread, units)}, and "
        f"{words.sideways_give_or_take(float(np.median(left)), _half_width(left), units)}"
    )
    if scene.water > 0:
        told += f"; {words.chance(scene.water)} in the water"
    if scene.out > 0:
        told += f"; {words.chance(scene.out)} out of bounds"
    return told


def _half_width(values: NDArray[np.float64]) -> float:
    """Return half the width that holds eight of ten."""
    low, high = np.quantile(values, (0.1, 0.9))
    return float(high - low) / 2.0


#: What a factor is called in a sentence about a cause.
_FACTOR_WORDS = {
    "grip": "grip",
    "arm": "the arm in the cold",
    "air": "the density of the air",
    "wind": "wind",
    "ground": "ground",
    "water": "water",
    "wear": "wear",
}
#: Shares of a change smaller than this are not told, strokes a round.
_SMALL_SHARE = 0.02
#: Less than this is written as nothing.
_ROUNDING = 0.005
#: Work that changes less than this, throws a round, is not told; nor more discs than so many.
_FEW_THROWS, _MOST_TOLD = 1.0, 3


def swap_words(swap: Swap, old: str, new: str) -> str:
    """Say one swap with its causes."""
    if swap.stays:
        return _stays_words(swap, old, new)
    change, tie = _change_words(swap)
    if swap.tie:
        return f"{change}: {tie}."
    saves = words.strokes(swap.saves, swap.saves_se)
    told = f"{change}: it saves {saves}, a round in {new}"
    shares = _shares(swap, old)
    if swap.cause is not None:
        cause = _FACTOR_WORDS[swap.cause.factor]
        told = f"{change}, because of {cause}: it saves {saves}, a round in {new}"
        # The shares say it where they are told: both beside each other read like a contradiction.
        alone = f"; with {cause} alone as in {old} it would save nothing"
        return f"{told}{'' if shares else alone}.{shares}"
    return f"{told}.{shares}" if shares else f"{told}, and would have in {old} too."


def _signed(strokes: float) -> str:
    return f"{'+' if strokes > 0.0 else ''}{words.number(strokes, 2)}"


def _stays_words(swap: Swap, old: str, new: str) -> str:
    """Say why a disc of both carries does more."""
    if swap.tie:
        return f"{swap.into} is thrown more in {new}, but others would do as well."
    lost = words.strokes(swap.saves, swap.saves_se)
    told = f"{swap.into} is thrown more, and saves {lost}, a round in {new} over doing without it"
    return f"{told}.{_shares(swap, old)}"


def work_words(work: Sequence[Work], old: str, new: str) -> str:
    """Say whose work grows and whose shrinks, the greatest changes first."""
    parts = []
    for said, sign in (("more with", 1.0), ("less with", -1.0)):
        told = [w for w in work if sign * (w.new - w.old) >= _FEW_THROWS][:_MOST_TOLD]
        if told:
            each = [
                f"{w.disc_id} ({words.number(w.old, 1)} to {words.number(w.new, 1)})" for w in told
            ]
            parts.append(f"{said} {words.joined(each)}")
    if not parts:
        return ""
    return f"Throws a round, {old} to {new}: {'; '.join(parts)}."


def _shares(swap: Swap, old: str) -> str:
    """Say what makes the swap pay more than it did, or less; nothing where hardly anything does."""
    parts = [cause for cause in swap.causes if abs(cause.strokes) >= _SMALL_SHARE]
    if not parts or abs(swap.changed) < _SMALL_SHARE:
        return ""
    each = [
        f"{_signed(cause.strokes)} from {_FACTOR_WORDS[cause.factor]}"
        for cause in sorted(parts, key=lambda cause: -abs(cause.strokes))
    ]
    # What is told sums to what is told of the whole.
    rest = round(swap.changed, 2) - sum(round(cause.strokes, 2) for cause in parts)
    if abs(rest) >= _ROUNDING:
        each.append(f"{_signed(rest)} from the rest")
    said = words.joined(each)
    more = f"{words.number(abs(swap.changed), 2)} {'more' if swap.changed > 0.0 else 'less'}"
    return f" That is {more} than with everything as in {old}: {said}."


def _change_words(swap: Swap) -> tuple[str, str]:
    """Say what changes, and what to say where it makes no difference."""
    luck = "no difference that can be told from luck"
    if swap.out is None:
        return f"{swap.into} comes along", luck
    if swap.into is None:
        return f"{swap.out} stays home", luck
    return f"{swap.out} out, {swap.into} in", "equal to within the error, so either may go"


def _changes(swaps: Sequence[Swap]) -> str:
    """Say how many swaps there are, and how many discs come or stay without one for another."""
    pairs = sum(swap.out is not None and swap.into is not None for swap in swaps)
    come = sum(swap.out is None for swap in swaps)
    stay = sum(swap.into is None for swap in swaps)
    parts = [words.plural(pairs, "swap")] if pairs else []
    if come:
        parts.append(f"{words.plural(come, 'disc')} {'comes' if come == 1 else 'come'} along")
    if stay:
        parts.append(f"{words.plural(stay, 'disc')} {'stays' if stay == 1 else 'stay'} home")
    return words.joined(parts)


def swaps_summary(swaps: Sequence[Swap], old: str, new: str) -> str:
    """Say how much the swaps matter."""
    if not swaps:
        return f"From {old} to {new} nothing has to change."
    ties = sum(swap.tie for swap in swaps)
    count = _changes(swaps)
    if ties == len(swaps):
        return f"From {old} to {new}: {count}, none of which matters more than the error."
    paying = len(swaps) - ties
    save = "saves" if paying == 1 else "save"
    told = f"From {old} to {new}: {count}; {paying} {save} strokes that can be told from luck"
    if not ties:
        return f"{told}."
    return f"{told}, {'1 is a tie' if ties == 1 else f'{ties} are ties'}."
