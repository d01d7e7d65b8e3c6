"""Where throws land, for draws of everything that is not known."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.flown import bodies_of, fly_local
from rimwise.beliefs.imagined import SCATTERED
from rimwise.beliefs.objective import scatter_of_throws
from rimwise.beliefs.observed import Evidence, throw_table
from rimwise.beliefs.unknowns import LOCAL, Unknowns
from rimwise.records.evidence import Throw

__all__ = ["stock_landings", "throw_landings"]

Floats = NDArray[np.float64]

#: Any day does: wear is that of today, and the weather mild and calm.
_SOME_DAY = date(2000, 1, 1)


def stock_landings(
    unknowns: Unknowns, grip: Floats, u: Floats, scatter: Floats | None = None, seed: int = 1
) -> Floats:
    """Return rest along and left of the aim line, (n, samples, 2), m, of the stock throw.

    On a mild, calm day and firm ground, with the discs as worn today.

    Parameters
    ----------
    grip
        Grip grades (n, 4), as :class:`rimwise.beliefs.posterior.Grips`.
    u
        What discs and arm are, (samples, D).
    scatter
        Of the releases, (styles, 5) as a row of scatter; without it every release is as meant.
    seed
        Of that scatter, which is the same for every disc.
    """
    stock = unknowns.thrower.stock
    throws = tuple(Throw(_SOME_DAY, disc, stock, 0.0, 0.0) for disc in unknowns.fleet.ids)
    return throw_landings(unknowns, Evidence(throws), grip, u, scatter, seed)


def throw_landings(
    unknowns: Unknowns,
    thrown: Evidence,
    grip: Floats,
    u: Floats,
    scatter: Floats | None = None,
    seed: int = 1,
) -> Floats:
    """Return rest along and left of the aim line, (throws, samples, 2), m.

    Parameters
    ----------
    thrown
        Throws as intended, on their days and with the discs as worn then; what they say of
        landings is not read.
    grip, u, scatter, seed
        As for :func:`stock_landings`.
    """
    throws = thrown.throws
    table = throw_table(thrown, unknowns, grip)
    rows = unknowns.rows(table.disc, table.style)
    slopes = unknowns.slopes(table.disc, table.wear, table.cold_c)
    local = np.einsum("tac,stc->tsa", slopes, u[:, rows])
    if scatter is not None:
        random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0x1EA2,)))
        spread = scatter_of_throws(table, scatter, unknowns.assume.spin_scatter)
        drawn = random.standard_normal((len(u), len(SCATTERED)))
        local[:, :, SCATTERED] += drawn * spread[:, None]
    which = np.repeat(np.arange(len(throws)), len(u))
    flat = local.reshape(-1, len(LOCAL))
    flown = fly_local(unknowns, bodies_of(unknowns.fleet), table, which, flat)
    bias = np.array([arm.heading_bias_rad for arm in unknowns.arms])[table.style[which]]
    heading = flat[:, LOCAL.index("heading (rad)")] + bias
    c, s = np.cos(heading), np.sin(heading)
    rest = [c * flown[:, 0] - s * flown[:, 1], s * flown[:, 0] + c * flown[:, 1]]
    return np.stack(rest, axis=-1).reshape(len(throws), len(u), 2)
