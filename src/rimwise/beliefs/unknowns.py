"""What is not known about discs and arm, as independent standard normal numbers.

Every unknown is written as its prior mean plus its prior standard deviation times a number
``u`` that is N(0, 1) before any evidence. A throw sees only eleven things, its *local
arguments* (:data:`LOCAL`), each a linear function of at most eighteen of the ``u``:

* the four printed numbers: what the mold is off by, what this disc is off by on top, what its
  plastic does to turn and fade together, and how fast that plastic wears;
* the mass of the disc;
* speed, advance ratio (spin over speed), launch, hyzer, nose and heading of the arm in that
  style, as signed habits, and what a degree of cold costs it.

Nothing here is fixed to make the rest identifiable: zero-mean priors do that. Landings cannot
tell a raised nose from a higher launch, nor the common glide of all discs from a fast arm, so
what follows from a posterior is told as reach and finish, never as an angle of the hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.arm import ArmStyle, arm_style
from rimwise.beliefs.fleet import MOLD_SHARE, Fleet, stream_of
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Style, Thrower

__all__ = ["COLUMNS", "HABITS", "LOCAL", "Unknowns", "unknowns_of"]

Floats = NDArray[np.float64]

#: The local arguments of a throw and their units. Turn and fade are taken as their sum and
#: difference: a landing follows the sum, and is least crooked seen along these two.
LOCAL = (
    "speed number",
    "glide number",
    "(turn + fade) / √2",
    "(fade − turn) / √2",
    "log mass",
    "log speed",
    "log advance ratio",
    "launch (rad)",
    "hyzer (rad)",
    "nose (rad)",
    "heading (rad)",
)
#: What a style's six unknowns move, as names of :data:`LOCAL`; also their order.
HABITS = (
    "log speed",
    "log advance ratio",
    "launch (rad)",
    "hyzer (rad)",
    "nose (rad)",
    "heading (rad)",
)
#: How many unknowns one throw depends on: mold 4, disc 4, shift, wear, mass, style 6, cold.
COLUMNS = 18
_MOLD, _DISC, _SHIFT, _WEAR, _MASS, _STYLE, _COLD = 0, 4, 8, 9, 10, 11, 17
_HALF = math.sqrt(0.5)
_FIRST_HABIT = LOCAL.index(HABITS[0])


@dataclass(frozen=True, eq=False)
class Unknowns:
    """The layout of ``u`` for one fleet and one thrower.

    Attributes
    ----------
    fleet, thrower, assume
        What the prior is made of. All discs that evidence speaks of belong in the fleet,
        retired ones too.
    arms : tuple of ArmStyle
        The prior mean of each style, in the thrower's order.
    molds, plastics : tuple of str
        Those of the fleet, each once, sorted.
    names : tuple of (kind, name, part)
        One entry for every component of ``u``.
    """

    fleet: Fleet
    thrower: Thrower
    assume: Assumptions
    arms: tuple[ArmStyle, ...]
    molds: tuple[str, ...]
    plastics: tuple[str, ...]
    names: tuple[tuple[str, str, int], ...]
    columns: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.names)

    @property
    def styles(self) -> tuple[Style, ...]:
        """The styles, in the order of :attr:`arms`."""
        return tuple(arm.style for arm in self.arms)

    def rows(self, disc: NDArray[np.int64], style: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return which components of ``u`` throws depend on, (T, :data:`COLUMNS`)."""
        rows = np.empty((len(disc), COLUMNS), dtype=np.int64)
        rows[:, :_STYLE] = self.columns[disc]
        first = len(self) - 1 - len(HABITS) * len(self.arms)
        rows[:, _STYLE:_COLD] = first + len(HABITS) * style[:, None] + np.arange(len(HABITS))
        rows[:, _COLD] = len(self) - 1
        return rows

    def slopes(self, disc: NDArray[np.int64], wear: Floats, cold_c: Floats) -> NDArray[np.float64]:
        """Return how local arguments follow those components, (T, 11, :data:`COLUMNS`).

        Parameters
        ----------
        disc
            Position in the fleet, (T,).
        wear
            Wear of the disc on the day of the throw, (T,).
        cold_c
            Degrees below the comfortable temperature that still cost speed, (T,); 0 when warm
            or when the largest loss is reached.
        """
        assume, fleet = self.assume, self.fleet
        slopes = np.zeros((len(disc), len(LOCAL), COLUMNS))
        number = np.arange(4)
        slopes[:, number, _MOLD + number] = math.sqrt(MOLD_SHARE) * fleet.printed_sd
        slopes[:, number, _DISC + number] = math.sqrt(1.0 - MOLD_SHARE) * fleet.printed_sd
        slopes[:, 2:4, _SHIFT] = fleet.plastic_sd[disc][:, None]
        rate = assume.wear_rate_sd * wear
        slopes[:, 2, _WEAR], slopes[:, 3, _WEAR] = (
            -assume.wear_turn * rate,
            -assume.wear_fade * rate,
        )
        slopes[:, 4, _MASS] = fleet.mass_sd_kg[disc] / fleet.mass_kg[disc]
        habit = np.arange(len(HABITS))
        slopes[:, _FIRST_HABIT + habit, _STYLE + habit] = habit_sd(assume)
        slopes[:, 2:4] = _turned(slopes[:, 2:4])
        loss = self.thrower.cold_arm.loss_per_c
        kept = 1.0 - np.minimum(loss * cold_c, self.thrower.cold_arm.most)
        slopes[:, _FIRST_HABIT, _COLD] = -assume.cold_arm_sd * loss * cold_c / kept
        return slopes

    def printed(self, u: Floats) -> Floats:
        """Return every disc's numbers as worn today, from ``u`` (..., D): (..., n, 4)."""
        return numbers_of(self._local(u)[..., :4]) + self.fleet.printed

    def mass_kg(self, u: Floats) -> Floats:
        """Return every disc's mass from ``u`` (..., D): (..., n), held to 3 sd as in the fleet."""
        column = np.clip(u[..., self.columns[:, _MASS]], -3.0, 3.0)
        return np.asarray(self.fleet.mass_kg + self.fleet.mass_sd_kg * column)

    def habits(self, u: Floats, style: int) -> Floats:
        """Return what one style is off by, from ``u`` (..., D): (..., 6) as :data:`HABITS`."""
        first = len(self) - 1 - len(HABITS) * (len(self.arms) - style)
        return np.asarray(u[..., first : first + len(HABITS)] * habit_sd(self.assume))

    def cold_loss_per_c(self, u: Floats) -> Floats:
        """Return the share of speed lost per degree of cold, from ``u`` (..., D): (...)."""
        rate = self.thrower.cold_arm.loss_per_c * (1.0 + self.assume.cold_arm_sd * u[..., -1])
        return np.maximum(rate, 0.0)

    def standard_draws(self, samples: int, seed: int, draw_set: int = 0) -> Floats:
        """Draw standard normal numbers, (samples, D), one stream for every named thing.

        The streams of molds, discs, plastics and masses are those that the fleet itself draws
        its prior from, so that evidence moves the fleet's samples instead of redrawing them.
        """
        drawn = np.empty((samples, len(self)))
        at = 0
        while at < len(self):
            kind, name, _ = self.names[at]
            width = sum(1 for other in self.names if other[:2] == (kind, name))
            shape = (samples, width) if width > 1 else samples
            block = stream_of(seed, draw_set, kind, name).standard_normal(shape)
            drawn[:, at : at + width] = block.reshape(samples, width)
            at += width
        return drawn

    def _local(self, u: Floats) -> Floats:
        """Local offsets of every disc as worn today; the style columns do not matter."""
        every = np.arange(len(self.fleet))
        rows = self.rows(every, np.zeros_like(every))
        slopes = self.slopes(every, self.fleet.wear, np.zeros(len(every)))
        return np.asarray(np.einsum("dac,...dc->...da", slopes, u[..., rows]))


def numbers_of(local: Floats) -> Floats:
    """Return offsets of the printed numbers (..., 4) from the first four local arguments."""
    whole, apart = local[..., 2] * _HALF, local[..., 3] * _HALF
    return np.stack([local[..., 0], local[..., 1], whole - apart, whole + apart], axis=-1)


def _turned(rows: Floats) -> Floats:
    """Turn rows for turn and fade (T, 2, ...) into rows for their sum and difference."""
    turn, fade = rows[:, 0], rows[:, 1]
    return np.stack([(turn + fade) * _HALF, (fade - turn) * _HALF], axis=1)


def habit_sd(assume: Assumptions) -> Floats:
    """Return the prior standard deviations of a style's unknowns, as :data:`HABITS`."""
    degrees = [
        assume.arm_launch_sd, assume.arm_hyzer_sd, assume.arm_nose_sd, assume.arm_heading_sd
    ]  # fmt: skip
    return np.array([assume.arm_speed_sd, assume.arm_spin_sd, *np.radians(degrees)])


def unknowns_of(fleet: Fleet, thrower: Thrower, assume: Assumptions) -> Unknowns:
    """Lay out everything that is not known about these discs and this arm."""
    molds, plastics = sorted(set(fleet.molds)), sorted(set(fleet.plastics))
    styles = [skill.style for skill in thrower.styles]
    names = [
        *_block("mold", molds, 4),
        *_block("disc", fleet.ids, 4),
        *_block("plastic", plastics, 1),
        *_block("wear", plastics, 1),
        *_block("mass", fleet.ids, 1),
        *_block("style", styles, len(HABITS)),
        ("cold arm", "", 0),
    ]
    where = {name: i for i, name in enumerate(names)}
    columns = np.array(
        [
            [where["mold", mold, k] for k in range(4)]
            + [where["disc", disc, k] for k in range(4)]
            + [where["plastic", plastic, 0], where["wear", plastic, 0], where["mass", disc, 0]]
            for disc, mold, plastic in zip(fleet.ids, fleet.molds, fleet.plastics, strict=True)
        ],
        dtype=np.int64,
    )
    arms = tuple(arm_style(thrower, style, assume) for style in styles)
    return Unknowns(
        fleet, thrower, assume, arms, tuple(molds), tuple(plastics), tuple(names), columns
    )


def _block(kind: str, names: Sequence[str], parts: int) -> list[tuple[str, str, int]]:
    return [(kind, str(name), k) for name in names for k in range(parts)]
