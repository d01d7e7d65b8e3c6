"""Where the numbers of a flight stand in the kernel's buffer, lane by lane.

A flight is prepared (:mod:`rimwise.flight._prepare`), flown (:mod:`rimwise.flight.kernel`) and
remembered point by point (:mod:`rimwise.flight._paths`) by compiled functions that share this
layout. Anything else that they share would go here too: see :mod:`rimwise.flight._jit`.
"""

from __future__ import annotations

LANES = 32
# One flat buffer holds everything a lane needs, row by row. Constant distances inside one
# buffer let the compiler prove that lanes do not overlap. Here are the places where rows begin.
# Constants of the flight, in the order of ``PREPARED``.
CONSTANTS = 23
(
    CL0, CL_ALPHA, CD0, CD_ALPHA, ALPHA0, CM0, CM_ALPHA, PLATE, PLATE_MOMENT,
    PITCH_S, PITCH_LAG, ROLL_S, ROLL_LAG, SPIN_DOWN, SPIN_DOWN_LAG,
    WIND_X, WIND_X_LOG, WIND_Y, WIND_Y_LOG, LOWEST, FLOOR, GROUND, DECAY,
) = range(0, CONSTANTS * LANES, LANES)  # fmt: skip
# The step and the next one, the share of the squared wobble that half a step leaves, the time,
# what a step came to; where height and side turn back within it; extremes of the path.
(
    STEP, STEP_NEXT, WOBBLE_LEFT, TIME, EVENT, TURN_Y, TURN_Z, LEFT, RIGHT, TOP,
) = range(23 * LANES, 33 * LANES, LANES)  # fmt: skip
# A state is ten rows, the spin signed, and an eleventh for the squared wobble: at the start of
# the step and as tried for its end.
STATE = 10
X, Y, Z, VX, VY, VZ, NX, NY, NZ, SPIN, WOBBLE = range(0, 11 * LANES, LANES)
NOW, TRIED = range(33 * LANES, 55 * LANES, 11 * LANES)
# Slopes of VX to SPIN: at the start of the step, of the latest stage, those of the middle
# stages together, and of the fourth.
FIRST, SLOPE, SUM, FOURTH = range(52 * LANES, 80 * LANES, 7 * LANES)
# What the search for slopes hands from loop to loop: air speed, sine of the angle of attack and
# inverse cosine, nod and nodded angle, stiffness of the gyroscope, loads, parts of the axis' rate.
(
    UX, UY, SPEED2, PER_SPEED, S, PER_C, NOD, ALPHA, STIFF, ALONG, NORMAL,
    AHEAD, ASIDE, FORWARD, UP,
) = range(83 * LANES, 98 * LANES, LANES)  # fmt: skip
ROWS = 98


#: Columns of a sampled path: position, axis, spin.
PATH_COLUMNS = 7
#: Steps of a flight that are kept for its path; of more, every other one.
LOG_ROWS = 512
LOG_COLUMNS = 2 * PATH_COLUMNS + 1

#: What a flight begins with: forces per unit of mass, moments per unit of angular momentum,
#: both per squared speed where they go with it, signed spin and squared wobble.
PREPARED = (
    "cl0", "cl_alpha", "cd0", "cd_alpha", "alpha0", "cm0", "cm_alpha", "plate", "plate_moment",
    "pitch_s", "pitch_lag", "roll_s", "roll_lag", "spin_down", "spin_down_lag",
    "wind_x", "wind_x_log", "wind_y", "wind_y_log", "lowest", "floor", "ground", "decay",
    "z", "vx", "vy", "vz", "nx", "ny", "nz", "spin", "wobble",
)  # fmt: skip
#: Prepared flights come in tiles of so many, a row per entry of ``PREPARED``.
TILE = 64
# What a lane reports after a step: nothing, that its flight is over, or that it takes it back.
ENDED, REJECTED = 1.0, 2.0
