"""Advice from a lie, cut down to what the file on the phone holds of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from rimwise.app import tee_telling as telling
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.advice import Advice, Choice, lie_at
from rimwise.decide.clouds import Simulator
from rimwise.decide.fresh import heights_at
from rimwise.decide.many_lies import advise_all
from rimwise.decide.solved import SolvedDay, SolvedHole
from rimwise.pictures.phone_packing import rounded
from rimwise.pictures.phone_scene import PhoneAnswer, PhoneThrow, PhoneTold
from rimwise.records.courses import Hole
from rimwise.records.words import Units

__all__ = ["TEE_CHOOSES", "answers_from", "told"]

Floats = NDArray[np.float64]

#: Throws that choose among what is offered from the tee and from other lies: everybody throws
#: from the tee.
TEE_CHOOSES, _CHOOSES = 1024, 64
#: Landings that are drawn from the tee and from other lies.
_TEE_DOTS, _DOTS = 20, 12
#: The middle throw is drawn through these shares of the straight way to where it comes down.
_SHARES = (0.2, 0.4, 0.6, 0.8)


def answers_from(
    solved: Sequence[SolvedHole],
    lies_m: Sequence[tuple[float, float]],
    *,
    between: Callable[[], None] = lambda: None,
) -> list[tuple[PhoneAnswer, ...]]:
    """Say what to do from some lies of a hole, the tee first, in each wind it is solved for.

    Parameters
    ----------
    solved
        See :func:`rimwise.decide.many_lies.advise_all`.
    """
    tee = lie_at(solved[0].days[0], 0.0, 0.0)
    lies = [lie_at(solved[0].days[0], x_m, y_m) for x_m, y_m in lies_m]
    advised = advise_all(
        solved,
        lies,
        between=between,
        throws=lambda lie: TEE_CHOOSES if (lie == tee).all() else _CHOOSES,
    )
    return [
        tuple(_answer(hole.days[0], advice, tee=n == 0) for n, advice in enumerate(many))
        for hole, many in zip(solved, advised, strict=True)
    ]


def _answer(one: SolvedDay, advice: Advice, *, tee: bool) -> PhoneAnswer:
    dots = _TEE_DOTS if tee else _DOTS
    return PhoneAnswer(
        putt=advice.putt,
        throws=tuple(rounded(_throw(one, advice.lie, choice, dots)) for choice in advice.choices),
    )


def _throw(one: SolvedDay, lie: Floats, choice: Choice, dots: int) -> PhoneThrow:
    numbers = telling.landing_numbers(choice.rest_m, lie, one.problem.ground.length_m)
    path = choice.path_m
    end = path[-1, :2]
    return PhoneThrow(
        disc=choice.line.disc,
        base=choice.line.base,
        effort=choice.line.effort,
        rise_m=float(path[:, 2].max() - heights_at(one.problem, lie[None, :2])[0]),
        turn_rad=choice.line.turn_rad,
        end_m=(float(end[0]), float(end[1])),
        bends_m=_bends(path[:, :2] - lie[:2]),
        centre_m=choice.centre_m,
        dots_m=tuple((float(x), float(y)) for x, y in choice.dots_m[:dots]),
        short_m=numbers[0],
        short_half_m=numbers[1],
        left_m=numbers[2],
        left_half_m=numbers[3],
        putt_next=choice.putt_next,
        penalty=choice.penalty,
        water=choice.water,
        trees=choice.trees,
        gone=choice.gone,
        strokes=choice.strokes,
        strokes_se=choice.strokes_se,
        better=choice.better,
        better_se=choice.better_se,
    )


def _bends(path: Floats) -> tuple[float, float, float, float]:
    """Return how far left of the straight way a path (points, 2) from the origin is."""
    way = path[-1] / np.hypot(*path[-1])
    along = np.maximum.accumulate(path @ way)
    left = path @ np.array([-way[1], way[0]])
    first, second, third, fourth = (
        float(np.interp(share * along[-1], along, left)) for share in _SHARES
    )
    return first, second, third, fourth


def told(
    answer: PhoneAnswer, hole: Hole, simulator: Simulator, fleet: Fleet, units: Units
) -> tuple[PhoneTold, ...]:
    """Say the throws from the tee in words."""
    styles = [str(skill.style) for skill in simulator.thrower.styles]
    return tuple(
        PhoneTold(
            disc=fleet.labels[throw.disc],
            line=telling.line_words(
                simulator.bases[throw.base], throw.effort, throw.rise_m, styles, units
            ),
            aim=telling.aim_words(math.remainder(throw.turn_rad, math.tau), hole.length_m, units),
            landing=telling.landing_said(
                throw.short_m, throw.short_half_m, throw.left_m, throw.left_half_m, units
            ),
            chances=telling.chances_words(throw),
            compared=telling.compared_words(throw),
        )
        for throw in answer.throws
    )
