"""A word where a hole's par and length disagree with what course designers are told."""

from __future__ import annotations

from rimwise.app.box import assumptions_of, units_of
from rimwise.course.guidance import odd_pars
from rimwise.records.courses import Course
from rimwise.records.words import distance
from rimwise.store.store import Store

__all__ = ["par_notes"]


def par_notes(store: Store, course: Course) -> tuple[str, ...]:
    """Say where a hole's par and length do not go together."""
    units = units_of(store)
    return tuple(
        f"Hole {band.hole.ref} plays like {distance(band.plays_m, units)}: by course "
        f"designers' guidance (from memory) a par {band.expert} for experts"
        + (f" and {band.recreational} for the rest" if band.recreational > band.expert else "")
        + f", not {band.hole.par}. Check the length and the par."
        for band in odd_pars(course, assumptions_of(store))
    )
