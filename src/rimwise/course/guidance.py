"""Par that goes with a hole's length, by the governing body's guidance for course designers.

Par is the score that a player of the level is expected to make with errorless play: the throws
to come to close range, and two from there. A climb plays longer than it measures, by three feet
a foot. All of this is from memory and unverified; the lengths are assumptions that the owner may
change. Woods and bends, which play longer as well, are left out, so only a par that fits neither
the strongest nor the weakest level is worth a word.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course, Hole

__all__ = ["ParBand", "odd_pars", "par_band", "plays_m"]

#: No hole is shorter than one throw and two from close range.
_LEAST_PAR = 3


@dataclass(frozen=True, slots=True)
class ParBand:
    """What a hole plays like in metres, and its par for experts and for recreational players."""

    hole: Hole
    plays_m: float
    expert: int
    recreational: int

    @property
    def is_odd(self) -> bool:
        """Whether the posted par is below an expert's or above a recreational player's."""
        par = self.hole.par
        return par is not None and par > 2 and not self.expert <= par <= self.recreational


def plays_m(hole: Hole, assume: Assumptions) -> float:
    """Return the length that a hole plays like, with its climb and its posted bend."""
    along_m = max(hole.length_m, hole.played_length_m or 0.0)
    return max(along_m + assume.climb_plays * hole.elevation_change_m, 0.0)


def par_band(hole: Hole, assume: Assumptions) -> ParBand:
    """Return the par that goes with a hole's length, for the strongest and the weakest level."""
    plays = plays_m(hole, assume)
    return ParBand(
        hole,
        plays,
        _par(plays, assume.par_throw_expert_m, assume.par_close_expert_m),
        _par(plays, assume.par_throw_recreational_m, assume.par_close_recreational_m),
    )


def _par(plays_m: float, throw_m: float, close_m: float) -> int:
    return max(math.ceil((plays_m - close_m) / throw_m - 1e-9) + 2, _LEAST_PAR)


def odd_pars(course: Course, assume: Assumptions) -> tuple[ParBand, ...]:
    """Return the holes whose par and length do not go together.

    A par of 2 is a courtesy of short courses and says nothing.
    """
    bands = (par_band(hole, assume) for hole in course.holes)
    return tuple(band for band in bands if band.is_odd)
