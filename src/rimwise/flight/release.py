"""How a disc leaves the hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["RELEASE_LIMITS", "Release", "ReleaseArrays"]

Hand = Literal["right", "left"]
Style = Literal["backhand", "forehand"]

RELEASE_LIMITS: Limits = {
    "speed_m_s": (1.0, 50.0, "m/s"),
    "spin_rad_s": (5.0, 300.0, "rad/s"),
    "launch_rad": (-math.pi / 2, math.pi / 2, "rad"),
    "hyzer_rad": (-math.pi, math.pi, "rad"),
    "nose_rad": (-math.pi / 2, math.pi / 2, "rad"),
    "heading_rad": (-math.pi, math.pi, "rad"),
    "height_m": (0.0, 50.0, "m"),
    "wobble_rad": (0.0, 0.6, "rad"),
}
ARRAY_LIMITS: Limits = {**RELEASE_LIMITS, "side": (-1.0, 1.0, "")}


@dataclass(frozen=True, slots=True)
class Release:
    """The state of a disc as it leaves the hand.

    Parameters
    ----------
    speed_m_s : float
        1 … 50 m/s.
    spin_rad_s : float
        Magnitude, 5 … 300 rad/s; the direction follows from hand and style.
    launch_rad : float
        Velocity above the horizontal.
    hyzer_rad : float
        Bank about the velocity, positive toward the side the throw fades to.
    nose_rad : float
        Leading edge up relative to the velocity.
    heading_rad : float
        Velocity to the *left* of the aim line, whatever the hand, like every left here.
    height_m : float
        Above the foot of the tee, 0 … 50 m.
    hand, style : str
        ``"right"`` or ``"left"``, ``"backhand"`` or ``"forehand"``. A right-handed backhand
        and a left-handed forehand with equal parameters fly the same.
    wobble_rad : float
        Half angle of the cone that the disc's axis describes about its mean, 0 … 0.6 rad;
        the other angles are those of the mean axis. It dies away in flight.

    Raises
    ------
    InputError
        When a value is outside its range.
    """

    speed_m_s: float
    spin_rad_s: float
    launch_rad: float
    hyzer_rad: float
    nose_rad: float
    heading_rad: float = 0.0
    height_m: float = 1.2
    hand: Hand = "right"
    style: Style = "backhand"
    wobble_rad: float = 0.0

    def __post_init__(self) -> None:
        check_fields(self, RELEASE_LIMITS)
        if self.hand not in ("right", "left"):
            raise InputError(f"release.hand must be 'right' or 'left', but is {self.hand!r}.")
        if self.style not in ("backhand", "forehand"):
            raise InputError(
                f"release.style must be 'backhand' or 'forehand', but is {self.style!r}."
            )

    @property
    def side(self) -> float:
        """+1 when the throw fades left (spins clockwise seen from above), −1 when right."""
        return 1.0 if (self.hand == "right") == (self.style == "backhand") else -1.0


@dataclass(frozen=True, slots=True)
class ReleaseArrays:
    """Many releases as arrays of length 1 or N; fields as in :class:`Release`.

    ``side`` is +1 for throws that fade left, −1 for those that fade right.
    """

    speed_m_s: ArrayLike
    spin_rad_s: ArrayLike
    launch_rad: ArrayLike
    hyzer_rad: ArrayLike
    nose_rad: ArrayLike
    heading_rad: ArrayLike = 0.0
    height_m: ArrayLike = 1.2
    side: ArrayLike = 1.0
    wobble_rad: ArrayLike = 0.0
