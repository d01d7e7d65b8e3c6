"""How draws lie along a line: a density that can be drawn."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["kernel_density"]

Floats = NDArray[np.float64]

#: No kernel is narrower, m: so far a note of a landing is rounded anyway.
_NARROWEST_M = 0.05


def kernel_density(draws: Floats, at: Floats) -> Floats:
    """Return the density of draws at places, a normal kernel on each draw.

    The kernels' standard deviation is that of the draws times ``samples ** -0.2`` (the rule of
    Scott 1992 for one dimension), which is near the best for draws that are nearly normal.

    Parameters
    ----------
    draws
        Metres, (samples,), two at least.
    at
        Metres, (places,).

    Returns
    -------
    (places,) float64
        Share of the draws per metre.
    """
    width = max(float(np.std(draws, ddof=1)) * len(draws) ** -0.2, _NARROWEST_M)
    off = (at[:, None] - draws[None, :]) / width
    bells = np.exp(-0.5 * off * off).sum(axis=1)
    return np.asarray(bells / (len(draws) * width * math.sqrt(2.0 * math.pi)))
