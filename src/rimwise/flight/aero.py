"""Aerodynamic coefficients of a disc and their curves over angle of attack."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["AERO_LIMITS", "Aero", "AeroArrays"]

#: Normal-force coefficient of a circular plate held square to the flow (Hoerner 1965,
#: Fluid-Dynamic Drag, chapter 3).
BROADSIDE_CN = 1.17

# Stall: between these angles of attack the attached-flow curves give way to a bluff plate
# (assumption; the wind-tunnel table of a catch disc is still straight at 30 degrees).
STALL_FROM_SIN, STALL_TO_SIN = 0.5, 0.7
#: Share of the plate's normal force that acts ahead of the centre, in diameters (assumption).
PLATE_CM_SHARE = 0.14

AERO_LIMITS: Limits = {
    "cl0": (-2.0, 2.0, ""),
    "cl_alpha": (-1.0, 8.0, "1/rad"),
    "cd0": (0.0, 2.0, ""),
    "cd_alpha": (0.0, 10.0, "1/rad²"),
    "alpha0_rad": (-0.5, 0.5, "rad"),
    "cm0": (-0.5, 0.5, ""),
    "cm_alpha": (-2.0, 2.0, "1/rad"),
    "cm_q_s": (-0.2, 0.0, "s"),
    "cl_p_s": (-0.2, 0.0, "s"),
    "cn_r_n_m_s": (-1e-3, 0.0, "N m s"),
    "cm_q": (-5.0, 0.0, ""),
    "cl_p": (-5.0, 0.0, ""),
    "cn_r": (-1.0, 0.0, ""),
    "plate_cn": (0.0, 2.0, ""),
}


@dataclass(frozen=True, slots=True)
class Aero:
    """Linear and quadratic coefficient curves with damping (Hummel 2003 conventions).

    ``CL = cl0 + cl_alpha α``, ``CD = cd0 + cd_alpha (α − alpha0)²``,
    ``CM = cm0 + cm_alpha α``; reference area ``π d²/4``, length ``d``; α in radians,
    positive when air strikes the underside. Beyond about 30 degrees the curves blend into
    the normal force of a plate.

    Parameters
    ----------
    cl0, cl_alpha, cd0, cd_alpha, alpha0_rad, cm0, cm_alpha : float
        Static curves. ``cm0`` and ``cm_alpha`` positive raise the leading edge.
    cm_q_s, cl_p_s : float
        Pitch and roll damping in seconds: they multiply a raw rate in rad/s. Not positive.
    cn_r_n_m_s : float
        Spin-down torque per rad/s, N m s. Not positive.
    cm_q, cl_p, cn_r : float
        The same three without dimension: they multiply ``rate · d / (2 |u|)``. Both kinds
        add up; use one. :meth:`with_dimensionless_damping` sets these.
    plate_cn : float, optional
        Normal-force coefficient of the stalled disc square to the flow; by default that of
        a circular plate, and 0 for a body whose every other coefficient is 0 (a vacuum).

    Raises
    ------
    InputError
        When a value is outside its range.

    References
    ----------
    Hummel S A (2003) Frisbee flight simulation and throw biomechanics, MS thesis,
    University of California, Davis.
    """

    cl0: float
    cl_alpha: float
    cd0: float
    cd_alpha: float
    alpha0_rad: float
    cm0: float
    cm_alpha: float
    cm_q_s: float = 0.0
    cl_p_s: float = 0.0
    cn_r_n_m_s: float = 0.0
    cm_q: float = 0.0
    cl_p: float = 0.0
    cn_r: float = 0.0
    plate_cn: float | None = None

    def __post_init__(self) -> None:
        if self.plate_cn is None:
            forces = (self.cl0, self.cl_alpha, self.cd0, self.cd_alpha)
            object.__setattr__(self, "plate_cn", BROADSIDE_CN if any(forces) else 0.0)
        check_fields(self, AERO_LIMITS)

    @classmethod
    def with_dimensionless_damping(
        cls,
        cl0: float,
        cl_alpha: float,
        cd0: float,
        cd_alpha: float,
        alpha0_rad: float,
        cm0: float,
        cm_alpha: float,
        *,
        cm_q: float = 0.0,
        cl_p: float = 0.0,
        cn_r: float = 0.0,
    ) -> Aero:
        """Coefficients whose damping multiplies ``rate · d / (2 |u|)``, for any size and speed."""
        return cls(
            cl0, cl_alpha, cd0, cd_alpha, alpha0_rad, cm0, cm_alpha,
            cm_q=cm_q, cl_p=cl_p, cn_r=cn_r,
        )  # fmt: skip

    def curves(self, alpha_rad: float) -> tuple[float, float, float]:
        """Lift, drag and pitching-moment coefficient at an angle of attack.

        Parameters
        ----------
        alpha_rad : float
            −π/2 … π/2.

        Returns
        -------
        tuple of float
            CL, CD, CM with the stall blend.
        """
        if not -math.pi / 2 - 1e-9 <= alpha_rad <= math.pi / 2 + 1e-9:
            raise InputError(
                f"alpha_rad must be between −π/2 and π/2 rad, but is {alpha_rad:g} rad."
            )
        s, c = math.sin(alpha_rad), math.cos(alpha_rad)
        lift = self.cl0 + self.cl_alpha * alpha_rad
        drag = self.cd0 + self.cd_alpha * (alpha_rad - self.alpha0_rad) ** 2
        moment = self.cm0 + self.cm_alpha * alpha_rad
        share = (abs(s) - STALL_FROM_SIN) / (STALL_TO_SIN - STALL_FROM_SIN)
        share = min(max(share, 0.0), 1.0)
        blend = share * share * (3.0 - 2.0 * share)
        plate = (self.plate_cn or 0.0) * s * (1.5 - 0.5 * s * s)
        # Along the plate only the drag at no incidence remains.
        plate_lift = plate * c - self.cd0 * c * s
        plate_drag = plate * s + self.cd0 * c * c
        plate_moment = PLATE_CM_SHARE * (self.plate_cn or 0.0) * s * c
        return (
            lift + blend * (plate_lift - lift),
            drag + blend * (plate_drag - drag),
            moment + blend * (plate_moment - moment),
        )


@dataclass(frozen=True, slots=True)
class AeroArrays:
    """Many coefficient sets as arrays of length 1 or N; fields as in :class:`Aero`."""

    cl0: ArrayLike
    cl_alpha: ArrayLike
    cd0: ArrayLike
    cd_alpha: ArrayLike
    alpha0_rad: ArrayLike
    cm0: ArrayLike
    cm_alpha: ArrayLike
    cm_q_s: ArrayLike = 0.0
    cl_p_s: ArrayLike = 0.0
    cn_r_n_m_s: ArrayLike = 0.0
    cm_q: ArrayLike = 0.0
    cl_p: ArrayLike = 0.0
    cn_r: ArrayLike = 0.0
    plate_cn: ArrayLike = BROADSIDE_CN
