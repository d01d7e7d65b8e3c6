"""From the four printed numbers to coefficients and back: a prior, not a fact.

The printed numbers are opinions without a standard (Immonen 2022, Sports Engineering,
doi 10.1007/s12283-022-00390-5). Here they get a meaning in closed form, with α in radians:

* ``CD0`` falls with speed, most from putters to fairway drivers, and ``CL0`` grows with glide.
* ``CDα``, the drag of lift, grows with speed on discs that hold (turn about 0 and some fade) and
  hardly on discs that turn. The reason taken: a wide rim leaves a shallow cup, and what makes a
  disc hold is a blunt, high nose; where the air strikes both from below, it separates early. So
  a fast disc that holds needs an arm: thrown slower, it gains nothing over a fairway driver.
* The pitching moment is a line in α. Its slope grows with fade, so that a slow disc, which flies
  at a high α, fades. A disc of turn 0 has no moment at a trim angle near
  the α of its flight at full speed; turn moves the line down, so that a fast disc turns.

More air speed, less mass and denser air all lower the α a disc flies at. With one line through
its trim, each of them turns a disc and their opposites fade it, which is what players agree on.

The parameters of :class:`PrintedMapping` were found by several runs of the two searches that
``tools/fit_printed.py`` now holds, with changing weights and needs, and a mean of two results was
taken at the end, so that the trade's rules (common practice, no source) come out over drawn discs
and throws; ``tests/validation/flight`` measures them on others. ``CLα`` and nearly every ``CDα``
lie within what was published for catch discs (0.45 to 1.8 here, 0.69 to 3.3 there; slow discs that
hold are below); ``CD0``, 0.05 to 0.09, goes below their 0.08, as golf discs are thinner (no
measurement of one was at hand).

Domain: the ranges of :class:`Printed`, where range, hang, side after the first
part and hook at the end go with their own number on the reference throw of
:mod:`rimwise.flight.meaning` nearly everywhere, as the tests say; smooth a little beyond.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, check_fields, column
from rimwise.flight.aero import Aero, AeroArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "MAPPING",
    "PRINTED_LIMITS",
    "Printed",
    "PrintedMapping",
    "aero_arrays_from_printed",
    "aero_from_printed",
    "printed_from_aero",
]

PRINTED_LIMITS: Limits = {
    "speed": (1.0, 15.0, ""),
    "glide": (1.0, 7.0, ""),
    "turn": (-5.0, 1.0, ""),
    "fade": (0.0, 5.0, ""),
}
# Arrays may be offset opinions: held to these ends, which still fly.
_HELD_TO = {"speed": (0.0, 16.0), "glide": (0.0, 8.0), "turn": (-7.0, 3.0), "fade": (-1.0, 7.0)}
_ANY = (-100.0, 100.0, "")


@dataclass(frozen=True, slots=True)
class Printed:
    """The four numbers on a disc.

    Parameters
    ----------
    speed : float
        1 … 15.
    glide : float
        1 … 7.
    turn : float
        −5 … +1, more negative turns more.
    fade : float
        0 … 5.

    Raises
    ------
    InputError
        When a number is outside its range.
    """

    speed: float
    glide: float
    turn: float
    fade: float

    def __post_init__(self) -> None:
        check_fields(self, PRINTED_LIMITS)


@dataclass(frozen=True, slots=True)
class PrintedMapping:
    """What the printed numbers are taken to mean; every field is a fitted assumption.

    With ``s = (speed − 7) / 5`` and ``pace = s − pace_bend (√(1 + s²) − 1)``,
    ``h = hold_turn turn + fade − hold_mid`` and ``holds = (1 + h/√(1 + h²)) / 2``, which is near 0
    for a disc that turns and near 1 for one that holds:

    ``CD0 = cd0 exp(−cd0_per_pace pace)``, ``CL0 = cl0 + cl0_per_glide glide``,
    ``CLα = cl_alpha``,
    ``CDα = cd_alpha exp((cd_alpha_per_pace + cd_alpha_held_per_pace holds) pace)``,
    ``α0 = −least_drag_share CL0/cl_alpha``,
    ``CMα = slope_per_fade fade (1 + slope_per_pace pace)
    + slope_per_fade2 fade² (1 + fade2_per_pace pace)``,
    ``CM = turn_moment softness arsinh(turn/softness) (1 + turn_per_pace pace) + CMα (α − trim)``,
    ``trim = trim_rad + trim_per_pace_rad pace + trim_per_fade_rad fade − trim_share CL0/cl_alpha``.

    The damping is assumed, of the size measured on catch discs (Hummel 2003).
    """

    pace_bend: float = 0.7155
    cl_alpha: float = 2.105
    cd_alpha: float = 1.062
    cd_alpha_per_pace: float = 0.1425
    cd_alpha_held_per_pace: float = 0.4017
    hold_turn: float = 2.539
    hold_mid: float = 2.759
    cd0: float = 0.06216
    cd0_per_pace: float = 0.2324
    cl0: float = 0.02102
    cl0_per_glide: float = 0.01368
    least_drag_share: float = 0.7513
    slope_per_fade: float = 0.02017
    slope_per_fade2: float = 0.005306
    fade2_per_pace: float = 0.3056
    slope_per_pace: float = 0.04462
    trim_rad: float = 0.05429
    trim_per_pace_rad: float = 0.01745
    trim_per_fade_rad: float = -0.006562
    trim_share: float = 0.5352
    turn_moment: float = 0.003478
    turn_per_pace: float = -0.5716
    turn_softness: float = 3.298
    cm_q: float = -0.3
    cl_p: float = -0.3
    cn_r: float = -0.005


MAPPING = PrintedMapping()


def aero_from_printed(printed: Printed, *, mapping: PrintedMapping = MAPPING) -> Aero:
    """Coefficients of one disc from its printed numbers; see :class:`PrintedMapping`."""
    values = _coefficients(mapping, printed.speed, printed.glide, printed.turn, printed.fade)
    return Aero(**{name: float(value) for name, value in values.items()})


def aero_arrays_from_printed(
    speed: ArrayLike,
    glide: ArrayLike,
    turn: ArrayLike,
    fade: ArrayLike,
    *,
    mapping: PrintedMapping = MAPPING,
) -> AeroArrays:
    """Coefficients for arrays of printed numbers, as beliefs sample them.

    Parameters
    ----------
    speed, glide, turn, fade : array_like
        Of length 1 or N. Values outside the printed ranges are used as they are up to
        speed 0 … 16, glide 0 … 8, turn −7 … 3, fade −1 … 7, and held there beyond.
    mapping : PrintedMapping
        What the numbers mean.

    Returns
    -------
    AeroArrays
        Fields of length 1 or N.

    Raises
    ------
    InputError
        When a number is not finite or far outside any meaning (beyond ±100).
    """
    given = {"speed": speed, "glide": glide, "turn": turn, "fade": fade}
    held = [
        np.clip(column(f"printed.{name}", value, _ANY), *_HELD_TO[name])
        for name, value in given.items()
    ]
    return AeroArrays(**_coefficients(mapping, *held))


def _coefficients(
    m: PrintedMapping,
    speed: Floats | float,
    glide: Floats | float,
    turn: Floats | float,
    fade: Floats | float,
) -> dict[str, Floats | float]:
    pace = _pace(m, speed)
    cl0 = m.cl0 + m.cl0_per_glide * glide
    by_fade, by_fade2 = _slope_parts(m, pace)
    cm_alpha = (by_fade + by_fade2 * fade) * fade
    cd_alpha_per_pace = m.cd_alpha_per_pace + m.cd_alpha_held_per_pace * _holds(m, turn, fade)
    return {
        "cl0": cl0,
        "cl_alpha": m.cl_alpha,
        "cd0": m.cd0 * np.exp(-m.cd0_per_pace * pace),
        "cd_alpha": m.cd_alpha * np.exp(cd_alpha_per_pace * pace),
        "alpha0_rad": -m.least_drag_share * cl0 / m.cl_alpha,
        "cm0": _turned(m, turn, pace) - cm_alpha * _trim_rad(m, cl0, pace, fade),
        "cm_alpha": cm_alpha,
        "cm_q": m.cm_q,
        "cl_p": m.cl_p,
        "cn_r": m.cn_r,
    }


def _pace(m: PrintedMapping, speed: Floats | float) -> Floats | float:
    steps = (speed - 7.0) / 5.0
    return steps - m.pace_bend * (np.sqrt(1.0 + steps**2) - 1.0)


def _speed(m: PrintedMapping, pace: Floats) -> Floats:
    """Invert :func:`_pace`, which grows without end as long as the bend is less than 1."""
    bend, straight = m.pace_bend, pace - m.pace_bend
    steps = (straight + bend * np.sqrt(straight**2 + 1.0 - bend**2)) / (1.0 - bend**2)
    return 7.0 + 5.0 * steps


def _holds(m: PrintedMapping, turn: Floats | float, fade: Floats | float) -> Floats | float:
    over = m.hold_turn * turn + fade - m.hold_mid
    return 0.5 + 0.5 * over / np.sqrt(1.0 + over**2)


def _slope_parts(m: PrintedMapping, pace: Floats | float) -> tuple[Floats | float, Floats | float]:
    """CMα as a polynomial in fade: the parts with it and with its square."""
    by_fade = m.slope_per_fade * (1.0 + m.slope_per_pace * pace)
    return by_fade, m.slope_per_fade2 * (1.0 + m.fade2_per_pace * pace)


def _turned(m: PrintedMapping, turn: Floats | float, pace: Floats | float) -> Floats | float:
    softened = m.turn_softness * np.arcsinh(turn / m.turn_softness)
    return m.turn_moment * softened * (1.0 + m.turn_per_pace * pace)


def _trim_rad(
    m: PrintedMapping, cl0: Floats | float, pace: Floats | float, fade: Floats | float
) -> Floats | float:
    no_lift_rad = -cl0 / m.cl_alpha
    return (
        m.trim_rad
        + m.trim_per_pace_rad * pace
        + m.trim_per_fade_rad * fade
        + m.trim_share * no_lift_rad
    )


def printed_from_aero(
    aero: Aero | AeroArrays, *, mapping: PrintedMapping = MAPPING
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the printed numbers that a disc's coefficients stand for, the inverse of the mapping.

    Drag at no incidence gives the speed, lift at no incidence the glide, and the moment line
    turn and fade. The other coefficients are taken to be the mapping's own.

    Parameters
    ----------
    aero : Aero or AeroArrays
        Coefficients, of length 1 or N.
    mapping : PrintedMapping
        What the numbers mean.

    Returns
    -------
    tuple of (N,) float64
        Speed, glide, turn, fade; not held to the printed ranges.

    Raises
    ------
    InputError
        When there is no such disc: without drag, or with a moment line flatter than any fade.
    """
    cd0, cl0, cm0, cm_alpha = (
        np.atleast_1d(np.asarray(getattr(aero, name), dtype=np.float64))
        for name in ("cd0", "cl0", "cm0", "cm_alpha")
    )
    if not (cd0 > 0.0).all():
        raise InputError("aero.cd0 must be above 0 for a disc to have a printed speed.")
    pace = np.log(mapping.cd0 / cd0) / mapping.cd0_per_pace
    by_fade, by_fade2 = _slope_parts(mapping, pace)
    root = by_fade**2 + 4.0 * by_fade2 * cm_alpha
    if not (root >= 0.0).all():
        raise InputError("aero.cm_alpha is too small for any printed fade.")
    fade = 2.0 * cm_alpha / (by_fade + np.sqrt(root))
    turned = cm0 + cm_alpha * _trim_rad(mapping, cl0, pace, fade)
    softened = turned / (mapping.turn_moment * (1.0 + mapping.turn_per_pace * pace))
    turn = mapping.turn_softness * np.sinh(softened / mapping.turn_softness)
    return _speed(mapping, pace), (cl0 - mapping.cl0) / mapping.cl0_per_glide, turn, fade
