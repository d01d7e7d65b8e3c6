"""Offers: of each lie's many priced actions the few that differ, to advise from later."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.holes import Chosen

__all__ = ["MOST_OFFERS", "offers_of"]

#: Offers kept of each lie.
MOST_OFFERS = 16
#: A disc's line is offered a second time where its target lies so far from the first one.
_APART_M = 12.0
#: What costs so much more than the best is nobody's choice.
_DEARER_STROKES = 0.5


def offers_of(chosen: Chosen) -> NDArray[np.float32]:
    """Return the cheapest differing actions of every lie, (lie, MOST_OFFERS, 5), cheapest first.

    Columns are disc (−1 for none), base, x and y of the target, and how many strokes it is
    dearer than the best of its lie, on the throws that the policy was chosen on. The policy's
    own action always comes first.
    """
    lies = len(chosen.actions)
    offers = np.full((lies, MOST_OFFERS, 5), -1.0, dtype=np.float32)
    extra = chosen.action_cost - chosen.action_cost[:, :1]
    near = (chosen.actions[..., 0] >= 0) & (extra < _DEARER_STROKES)
    for lie in range(lies):
        offers[lie, 0, :4], offers[lie, 0, 4] = chosen.policy[lie], 0.0
        kept = 1
        for a in np.flatnonzero(near[lie]).tolist():
            if kept == MOST_OFFERS:
                break
            if _repeats(offers[lie, :kept], chosen.actions[lie, a]):
                continue
            offers[lie, kept, :4] = chosen.actions[lie, a]
            offers[lie, kept, 4] = max(extra[lie, a], 0.0)
            kept += 1
    return offers


def _repeats(kept: NDArray[np.float32], action: NDArray[np.float64]) -> bool:
    """Say whether a disc and line is among those kept, with a target near this one."""
    same = (kept[:, 0] == action[0]) & (kept[:, 1] == action[1])
    away_m = np.hypot(kept[:, 2] - action[2], kept[:, 3] - action[3])
    return bool((same & (away_m < _APART_M)).any())
