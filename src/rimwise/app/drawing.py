"""Draw flights for a notebook or into a file."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from rimwise.app.files import Written, write_whole
from rimwise.errors import InputError
from rimwise.flight.flights import Flight, Flights
from rimwise.pictures.flight import Cloud, cloud_svg, flight_svg
from rimwise.records.words import Units

__all__ = ["Drawing", "draw_flights", "picture_of"]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture as text, which a notebook shows.

    Parameters
    ----------
    title
        What it is, in words.
    svg
        One ``<svg>`` element with a title and a description.
    """

    title: str
    svg: str

    def __repr__(self) -> str:
        return f"Drawing: {self.title}"

    def _repr_svg_(self) -> str:
        return self.svg

    def save(self, path: str | Path) -> Written:
        """Write the picture into an SVG file.

        Raises
        ------
        StoreError
            When the file cannot be written.
        """
        return write_whole(Path(path), self.svg)


def draw_flights(
    throws: Sequence[tuple[str, Flight]] | Mapping[str, Flight],
    *,
    clouds: Mapping[str, Flights] | None = None,
    units: Units = "m",
) -> Drawing:
    """Draw up to five throws over each other, from above and from the side, in real metres.

    Parameters
    ----------
    throws
        Pairs (name, flight), or flights by name; flown with their path.
    clouds
        Many flights of a throw by its name: where they come to rest is drawn as dots with an
        outline around 8 of 10.
    units
        "m" or "ft" for what is written.

    Raises
    ------
    InputError
        When there is nothing to draw, a flight has no path, there are too many, or a cloud
        belongs to no throw.
    """
    pairs = list(throws.items()) if isinstance(throws, Mapping) else list(throws)
    names = [name for name, _ in pairs]
    clouds = clouds or {}
    for name in clouds:
        if name not in names:
            raise InputError(f"there is a cloud for {name!r}, but no throw of this name.")
    svg = flight_svg(
        pairs,
        units,
        clouds=[Cloud(clouds[name].rest_m) if name in clouds else None for name in names],
        prefix=_prefix([flight for _, flight in pairs]),
    )
    return Drawing(f"{', '.join(names)}, from above and from the side", svg)


def picture_of(flown: Flight | Flights) -> str | None:
    """Return the picture that a flight, or many, show of themselves; nothing without a path."""
    if isinstance(flown, Flights):
        return cloud_svg(flown, prefix=_prefix([flown])) if len(flown) else None
    if len(flown.position_m) < 2:
        return None
    return flight_svg([("this throw", flown)], prefix=_prefix([flown]))


def _prefix(flown: Sequence[Flight | Flights]) -> str:
    """Return a start for ids that differs where what was flown does: a page may show many."""
    content = b"".join(one.rest_m.tobytes() + one.landing_m.tobytes() for one in flown)
    return f"flight-{zlib.crc32(content):08x}"
