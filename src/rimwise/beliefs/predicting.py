"""Where a throw will come down, with everything that is not known: discs, arm and scatter."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.flown import bodies_of, fly_local
from rimwise.beliefs.imagined import SCATTERED
from rimwise.beliefs.learn import row_of_scatter, rows_of_table
from rimwise.beliefs.objective import scatter_of_throws
from rimwise.beliefs.observed import PLAIN_DAY, Evidence, throw_table
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.unknowns import LOCAL
from rimwise.records.evidence import Throw

__all__ = ["predict_landings"]

Floats = NDArray[np.float64]


def predict_landings(
    beliefs: Posterior,
    throw: Throw,
    samples: int,
    seed: int,
    *,
    evidence: Evidence | None = None,
    noted: bool = True,
    unsure_scatter: bool = True,
) -> Floats:
    """Return where a throw might be noted to rest, along and left of the aim line, (samples, 2).

    Parameters
    ----------
    throw
        As intended; what it says of a landing is not read.
    evidence
        Where the throw's day and the disc's wear are known from; a mild day when not given.
    noted
        Whether landings carry the error of noting them. What an unknown wind may do is in them
        either way, as wide as beliefs take it to be when they learn.
    unsure_scatter
        Whether each sample draws its release scatter from what is known of it, or all take the
        most likely one.
    """
    unknowns = beliefs.unknowns
    asked = Evidence((throw,))
    if evidence is not None:
        asked = replace(evidence, throws=(throw,), comparisons=(), grip_grades=())
    one = throw_table(asked, unknowns, beliefs.grips.mean)
    table = rows_of_table(one, np.zeros(samples, dtype=np.int64))
    u = beliefs.draw_unknowns(samples, seed)
    rows = unknowns.rows(table.disc, table.style)
    slopes = unknowns.slopes(table.disc, table.wear, table.cold_c)
    local = np.einsum("tac,tc->ta", slopes, np.take_along_axis(u, rows, axis=1))
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0x7A2D,)))
    scatter = np.array([row_of_scatter(one) for one in beliefs.scatter])
    drawn = random.standard_normal((samples, len(SCATTERED)))
    if unsure_scatter:
        weight = np.array(beliefs.scatter_weight)[table.style][:, None]
        drawn[:, :5] *= np.sqrt(0.5 * weight / random.gamma(0.5 * weight, size=(samples, 5)))
    local[:, SCATTERED] += drawn * scatter_of_throws(table, scatter, unknowns.assume.spin_scatter)
    flown = fly_local(unknowns, bodies_of(unknowns.fleet), table, np.arange(samples), local)
    arm = unknowns.arms[int(table.style[0])]
    heading = local[:, LOCAL.index("heading (rad)")] + arm.heading_bias_rad
    c, s = np.cos(heading), np.sin(heading)
    rest = np.column_stack([c * flown[:, 0] - s * flown[:, 1], s * flown[:, 0] + c * flown[:, 1]])
    assume, away = unknowns.assume, np.hypot(*rest.T)
    wind_m_s = asked.days.get(throw.conditions, PLAIN_DAY).wind_speed_m_s
    error = assume.unknown_wind_share * wind_m_s * away
    if noted:
        paced = [math.hypot(assume.paced_noise_m, assume.paced_noise_share * m) for m in away]
        error = np.hypot(error, np.array(paced))
    if noted or wind_m_s:
        rest += error[:, None] * random.standard_normal((samples, 2))
    return rest
