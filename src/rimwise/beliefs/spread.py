"""How far beliefs are spread: what the curvature at the mode alone leaves out.

Three things, each measured on invented owners (``docs/beliefs.md``):

* Release scatter is itself only roughly known. The information is taken at the root mean square
  of the scatter, not at its mode, which is smaller.
* What landings leave open of the arm is a curved ridge. Along the arm's directions, gradients a
  standard deviation to either side give the curvature of the posterior there (a secant, which
  averages over the kinks of ground play) and, by how unlike they are, how far its mean stands
  off its mode: ``½ Σ_k ∂³/∂z∂z_k²``, the first correction to Laplace's approximation (Tierney &
  Kadane 1986).
* The information is mixed from the secant's and the expected one. The first alone describes this
  posterior better, but the truths of invented owners lay outside its intervals too often (a
  Gaussian form and polynomials have errors of their own); the second alone is a little wide.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

__all__ = ["spread_of"]

Floats = NDArray[np.float64]

#: Least curvature along any direction, as a share of the expected one.
_LEAST_CURVATURE = 0.25
#: What the secant counts for beside what is expected: chosen on invented owners, not derived.
_SECANT_SHARE = 0.25
#: The mean stands off the mode by no more than this many standard deviations: farther out the
#: correction is not a small one and cannot be trusted.
_MOST_SHIFT = 0.4


def spread_of(
    gradient: Callable[[Floats], Floats],
    mode: Floats,
    covariance: Floats,
    first: list[int],
) -> tuple[Floats, Floats]:
    """Return mean (D,) and covariance (D, D) of a density near its mode.

    Parameters
    ----------
    gradient
        Of minus the log density at a point (D,).
    mode, covariance
        Where the density is largest, and the inverse of the information expected there.
    first
        The components along which the density is looked at to either side. What the others do
        given these is left as expected.
    """
    size, count = len(mode), len(first)
    order = first + [i for i in range(size) if i not in set(first)]
    root = np.empty((size, size))
    root[order] = np.linalg.cholesky(covariance[np.ix_(order, order)])
    here = -root.T @ gradient(mode)
    ahead = np.array([-root.T @ gradient(mode + root[:, k]) for k in range(count)])
    behind = np.array([-root.T @ gradient(mode - root[:, k]) for k in range(count)])
    secant = np.eye(size)
    along = 0.5 * (behind - ahead)
    secant[:count], secant[:, :count] = along, along.T
    secant[:count, :count] = 0.5 * (along[:, :count] + along[:, :count].T)
    curvature, axes = np.linalg.eigh(secant)
    both = 1.0 + _SECANT_SHARE * (np.maximum(curvature, _LEAST_CURVATURE) - 1.0)
    wide = root @ (axes / np.sqrt(both))
    aside = 0.5 * (ahead + behind - 2.0 * here).sum(axis=0)
    shift = (axes.T @ aside) / both
    shift *= min(1.0, _MOST_SHIFT / max(float(np.linalg.norm(shift)), _MOST_SHIFT))
    return mode + root @ (axes @ shift), wide @ wide.T
