"""How each disc flies for this arm: how far, and where it finishes sideways."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day

__all__ = ["Rungs", "rungs"]

#: Eight of ten throws lie between these.
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9


@dataclass(frozen=True, slots=True, eq=False)
class Rungs:
    """Reach and sideways finish of every disc, (disc, 3): low, middle and high, metres.

    Reach is of the longest line at full effort; finish is of a flat full throw, left positive.
    The interval holds eight of ten throws, what is not known of the disc included. ``each_m``
    (disc, throw, 2) is where the flat throws of it end, out and left, on draws that all discs have
    in common.
    """

    reach_m: NDArray[np.float64]
    finish_left_m: NDArray[np.float64]
    each_m: NDArray[np.float64]


def rungs(simulator: Simulator, fleet: Fleet, day: Day) -> Rungs:
    """Fly every disc at full effort in the still air of a day, in the stock style."""
    still = replace(day, wind=replace(day.wind, speed_m_s=0.0, sd_m_s=0.0))
    points = simulator.clouds(fleet, still).points[:, :, 0, -1].astype(np.float64)
    x, y = points[:, :, 0] + points[:, :, 2], points[:, :, 1] + points[:, :, 3]
    stock = simulator.thrower.stock.style
    own = [b for b, base in enumerate(simulator.bases) if base.style is stock]
    flat = min(
        own, key=lambda b: (abs(simulator.bases[b].hyzer_deg), -simulator.bases[b].launch_deg)
    )
    longest = np.asarray(own)[np.argmax(np.median(x[:, own], axis=2), axis=1)]
    reach = x[np.arange(len(fleet)), longest]
    share = (_LOW, _MIDDLE, _HIGH)
    return Rungs(
        reach_m=np.quantile(reach, share, axis=1).T,
        finish_left_m=np.quantile(y[:, flat], share, axis=1).T,
        each_m=np.stack([x[:, flat], y[:, flat]], axis=-1),
    )
