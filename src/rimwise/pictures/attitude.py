"""How a disc hangs in the air, as it is seen from one side: outlines and ticks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rimwise.flight.flights import Flight

    Floats = NDArray[np.float64]

__all__ = ["MARK_STEPS_S", "View", "disc_outline", "mark_step_s", "marks", "shows_underside"]

View = Literal["side", "behind"]

#: Whole and easily counted steps between marks along a path.
MARK_STEPS_S = (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
MOST_MARKS = 8
CORNERS = 28

#: What is to the right and what is up in a view, in the throw frame (x out, y left, z up),
#: and where the viewer stands.
_RIGHT = {"side": np.array([1.0, 0.0, 0.0]), "behind": np.array([0.0, -1.0, 0.0])}
_UP = np.array([0.0, 0.0, 1.0])
_VIEWER = {"side": np.array([0.0, -1.0, 0.0]), "behind": np.array([-1.0, 0.0, 0.0])}


def mark_step_s(longest_s: float) -> float:
    """Return the least step that needs no more than ``MOST_MARKS`` marks for a flight."""
    return next((step for step in MARK_STEPS_S if longest_s / step <= MOST_MARKS), MARK_STEPS_S[-1])


def marks(flight: Flight, step_s: float) -> tuple[Floats, Floats]:
    """Return places and unit axes at release and each ``step_s`` after it, (marks, 3) each."""
    times = np.arange(0.0, flight.hang_s - 0.3 * step_s, step_s)
    if not len(times):
        times = np.zeros(1)

    def at_marks(values: Floats) -> Floats:
        return np.column_stack([np.interp(times, flight.time_s, column) for column in values.T])

    axes = at_marks(flight.axis)
    return at_marks(flight.position_m), axes / np.linalg.norm(axes, axis=1, keepdims=True)


def disc_outline(axis: Floats, view: View) -> Floats:
    """Return the outline of a disc of radius 1 around its centre as a view shows it.

    Parameters
    ----------
    axis : (3,)
        Unit normal out of the top.
    view
        From the thrower's right, or from behind the thrower.

    Returns
    -------
    (corners, 2) float64
        To the right and up in the view.
    """
    aside = np.cross(axis, _UP if abs(float(axis[2])) < 0.9 else _RIGHT["side"])
    aside /= np.linalg.norm(aside)
    along = np.cross(axis, aside)
    turn = np.linspace(0.0, 2.0 * np.pi, CORNERS, endpoint=False)[:, None]
    circle = np.cos(turn) * aside + np.sin(turn) * along
    return np.column_stack([circle @ _RIGHT[view], circle @ _UP])


def shows_underside(axis: Floats, view: View) -> bool:
    """Return whether the viewer looks at the underside."""
    return bool(axis @ _VIEWER[view] < 0.0)
