"""Evidence as an owner might record it, drawn from what discs and arm are supposed to be.

For checking beliefs against a known truth and for asking what evidence to come may say. Throws
are scattered one by one and flown; nothing of the likelihood's approximations is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import FELT, felt_of, reference_throws
from rimwise.beliefs.flown import bodies_of, fly_local
from rimwise.beliefs.objective import scatter_of_throws
from rimwise.beliefs.observed import Evidence, throw_table
from rimwise.beliefs.unknowns import LOCAL, Unknowns
from rimwise.records.evidence import Comparison, Throw

__all__ = ["SCATTERED", "felt_truth", "imagine_comparison", "imagine_throws"]

Floats = NDArray[np.float64]

#: Columns of ``LOCAL`` that a release scatters, in the order of a throw's scatter.
SCATTERED = tuple(
    LOCAL.index(name)
    for name in (
        "log speed", "launch (rad)", "hyzer (rad)", "nose (rad)", "heading (rad)",
        "log advance ratio",
    )
)  # fmt: skip


def imagine_throws(
    unknowns: Unknowns,
    u: Floats,
    scatter: Floats,
    asked: Evidence,
    random: np.random.Generator,
    *,
    shank_chance: float = 0.0,
    noted: bool = True,
) -> tuple[Throw, ...]:
    """Return the throws of ``asked`` with the landings they would have had.

    Parameters
    ----------
    u
        The truth, (D,).
    scatter
        True scatter of each style (S, 5): speed as a fraction, launch, hyzer, nose and heading
        in rad.
    asked
        Throws as intended; what they say of landings is not read.
    shank_chance
        Chance that a throw comes down anywhere on a wide square about its landing.
    noted
        Whether landings carry the error of noting them.
    """
    table = throw_table(asked, unknowns, unknowns.fleet.grip)
    count = len(table)
    rows = unknowns.rows(table.disc, table.style)
    slopes = unknowns.slopes(table.disc, table.wear, table.cold_c)
    local = (slopes @ u[rows][:, :, None])[:, :, 0]
    drawn = random.standard_normal((count, len(SCATTERED)))
    local[:, SCATTERED] += drawn * scatter_of_throws(table, scatter, unknowns.assume.spin_scatter)
    flown = fly_local(unknowns, bodies_of(unknowns.fleet), table, np.arange(count), local)
    bias = np.array([arm.heading_bias_rad for arm in unknowns.arms])[table.style]
    heading = local[:, LOCAL.index("heading (rad)")] + bias
    c, s = np.cos(heading), np.sin(heading)
    rest = np.column_stack([c * flown[:, 0] - s * flown[:, 1], s * flown[:, 0] + c * flown[:, 1]])
    if shank_chance:
        wide = 8.0 + 0.35 * np.hypot(*rest.T)
        shanked = random.random(count) < shank_chance
        rest += shanked[:, None] * wide[:, None] * random.uniform(-1.0, 1.0, (count, 2))
    if noted:
        assume = unknowns.assume
        error = np.hypot(assume.paced_noise_m, assume.paced_noise_share * np.hypot(*rest.T))
        rest += error[:, None] * random.standard_normal((count, 2))
    return tuple(
        replace(
            throw,
            distance_m=float(np.clip(x, -50.0, 300.0)),
            left_m=float(np.clip(y, -150.0, 150.0)),
            first_touch_m=None,
            speed_m_s=None,
            spin_rad_s=None,
        )
        for throw, (x, y) in zip(asked.throws, rest, strict=True)
    )


def felt_truth(unknowns: Unknowns, u: Floats) -> Floats:
    """Return finish (degrees) and reach (m) of every disc on the reference throw.

    Parameters
    ----------
    u
        One truth (D,), or many (samples, D).

    Returns
    -------
    (n, 2) or (samples, n, 2) float64
        Without scatter, as :data:`rimwise.beliefs.felt.FELT`.
    """
    many = np.atleast_2d(u)
    disc = np.arange(len(unknowns.fleet))
    table = reference_throws(unknowns, disc, unknowns.fleet.wear)
    rows = unknowns.rows(disc, table.style)
    slopes = unknowns.slopes(disc, table.wear, table.cold_c)
    local = np.einsum("dac,sdc->sda", slopes, many[:, rows]).reshape(-1, len(LOCAL))
    throw = np.tile(disc, len(many))
    flown = fly_local(unknowns, bodies_of(unknowns.fleet), table, throw, local)
    felt = felt_of(unknowns, flown).reshape(len(many), len(disc), len(FELT))
    return felt if u.ndim > 1 else np.asarray(felt[0])


def imagine_comparison(
    asked: Comparison,
    felt: Floats,
    ids: Sequence[str],
    unknowns: Unknowns,
    random: np.random.Generator,
    *,
    lies: bool = False,
) -> Comparison | None:
    """Return what would be answered about two discs, or ``None`` for no difference felt.

    Parameters
    ----------
    asked
        The question; which disc is named first does not matter.
    felt
        True felt numbers (n, 2), see :func:`felt_truth`.
    lies
        Whether the answer is turned about.
    """
    assume, kind = unknowns.assume, FELT.index(asked.quality)
    slightly, plainly, noise = (
        (assume.slightly_deg, assume.plainly_deg, assume.felt_noise_deg),
        (assume.slightly_m, assume.plainly_m, assume.felt_noise_m),
    )[kind]
    apart = felt[ids.index(asked.more), kind] - felt[ids.index(asked.less), kind]
    sensed = float(apart + noise * random.standard_normal()) * (-1.0 if lies else 1.0)
    if abs(sensed) < slightly:
        return None
    more, less = (asked.more, asked.less) if sensed > 0 else (asked.less, asked.more)
    return replace(asked, more=more, less=less, plainly=abs(sensed) >= plainly)
