"""Discs that no evidence names: what was learnt of their mold, their plastic and its grip.

A disc that may be bought shares two things with those that are owned: the mold, where one of the
same is there, and the plastic. What throws and comparisons taught of them holds for it too; the
rest is as unknown as with any disc before its first throw. As no evidence depends on the rest, the
beliefs follow without learning again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.grips import disc_grip_sd
from rimwise.beliefs.posterior import Grips, Posterior
from rimwise.beliefs.unknowns import unknowns_of
from rimwise.records.assumptions import Assumptions

__all__ = ["with_newcomers"]


def with_newcomers(
    posterior: Posterior, more: Fleet, described: Mapping[str, Sequence[float]]
) -> Posterior:
    """Return beliefs that hold more discs, of which nothing was recorded.

    Parameters
    ----------
    more
        The discs; none may have the name of one that is there. A grip other than their plastic's
        is one that the owner felt.
    described
        The four grades of each plastic that is described; what another does is wider open.

    Raises
    ------
    InputError
        When a disc has the name of another.
    """
    old, assume = posterior.unknowns, posterior.unknowns.assume
    new = np.array([plastic not in described for plastic in more.plastics])
    wide = np.maximum(more.plastic_sd, 0.5 * assume.new_plastic_shift_sd)
    more = replace(more, plastic_sd=np.where(new, wide, more.plastic_sd))
    both = unknowns_of(old.fleet.joined(more), old.thrower, assume)
    where = {name: i for i, name in enumerate(both.names)}
    rows = np.array([where[name] for name in old.names])
    mean, mode, covariance = np.zeros(len(both)), np.zeros(len(both)), np.eye(len(both))
    mean[rows], mode[rows] = posterior.mean, posterior.mode
    covariance[np.ix_(rows, rows)] = posterior.covariance
    return replace(
        posterior,
        unknowns=both,
        mean=mean,
        mode=mode,
        covariance=covariance,
        grips=_grips(posterior.grips, old.fleet, more, described, assume),
        _root=None,
    )


def _grips(
    grips: Grips,
    owned: Fleet,
    more: Fleet,
    described: Mapping[str, Sequence[float]],
    assume: Assumptions,
) -> Grips:
    """Return the grips with those of more discs behind.

    A plastic may be surer or poorer than its description by as much as its discs differ. What its
    discs were graded tells: for a disc whose grade is known to a share ``r`` (1 less its variance
    over that before any evidence) and moved by ``m``, the plastic is off by
    ``sum m / (1 + sum r)``, with a variance of that before over ``1 + sum r`` (worked from the
    normal distribution of discs about their plastic).
    """
    sd, noise = disc_grip_sd(assume), assume.grip_grade_noise
    mean, spread = more.grip.copy(), np.empty_like(more.grip)
    for i, plastic in enumerate(more.plastics):
        if plastic not in described:
            spread[i] = math.hypot(sd, assume.new_plastic_grip_sd)
            continue
        same = np.array([other == plastic for other in owned.plastics])
        grade = np.asarray(described[plastic], dtype=float)
        felt = owned.grip[same] - grade  # what the owner stated of a disc is a grade of it, too
        share = np.where(felt != 0.0, sd**2 / (sd**2 + noise**2), 0.0)
        known = np.maximum(1.0 - np.minimum((grips.sd[same] / sd) ** 2, 1.0), share)
        moved = grips.mean[same] - owned.grip[same] + share * felt
        weight = 1.0 + known.sum(axis=0)
        own = mean[i] - grade
        mean[i] += np.where(own == 0.0, moved.sum(axis=0) / weight, 0.0)
        spread[i] = np.where(own == 0.0, np.sqrt(sd**2 + sd**2 / weight), noise)
    mean = np.clip(mean, 1.0, 5.0)
    return Grips(np.vstack([grips.mean, mean]), np.vstack([grips.sd, spread]))
