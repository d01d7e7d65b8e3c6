"""The file for the phone: one HTML document that needs no network, readable without script.

What to throw from each tee stands in it as text, with a map in the wind foreseen. Everything
else (other lies, and the map in other winds) is packed, and shown by the file's own script.
"""

from __future__ import annotations

import base64
import functools
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from rimwise.pictures.palette import DARK, LIGHT, picture_css
from rimwise.pictures.phone_map import HoleMap, hole_map
from rimwise.pictures.phone_packing import pack
from rimwise.pictures.phone_scene import PhoneAnswer, PhoneFile, PhoneHole, PhoneTold, PhoneWind
from rimwise.records.words import (
    Units,
    check_units,
    date_words,
    distance,
    wind_direction,
    wind_speed,
)

__all__ = ["CAUTIONS", "MOST_BYTES", "phone_html"]

#: A file may be so big; one that would be bigger leaves out what it can best do without.
MOST_BYTES = 3_000_000
#: Parts of its script, in their order.
_PARTS = ("phone_words.js", "phone_map.js", "phone_log.js", "phone_page.js")
_LEFT_OUT = "To keep this file small, single landings are drawn from the tees only."

CAUTIONS = (
    "Look before you throw: nobody in range, blind spots and paths included.",
    "Posted course rules come first.",
    "Thunder or lightning: stop at once and get to safe shelter.",
    "Never wade, swim or step on ice for a disc.",
)
#: Where wind may come from, by eighths: on the map, and as the thrower sees it.
_COMPASS = (
    *("north", "north-east", "east", "south-east"),
    *("south", "south-west", "west", "north-west"),
)
_SEEN = tuple(wind_direction(45.0 * side) for side in range(8))
#: The same where there is little room.
_SHORT = tuple(f"from {side}" for side in ("N", "NE", "E", "SE", "S", "SW", "W", "NW"))
_SEEN_SHORT = (
    *("from ahead", "ahead, right", "from right", "behind, right"),
    *("from behind", "behind, left", "from left", "ahead, left"),
)


@functools.cache
def _environment() -> Environment:
    """Return the templates; everything put into them is escaped."""
    environment = Environment(
        loader=PackageLoader("rimwise.pictures", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,  # a program that runs keeps to the pages it began with
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["capital"] = _capital
    return environment


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


@functools.cache
def _resource(name: str) -> str:
    """Return a file that goes into the document as it is."""
    folder = resources.files("rimwise.pictures") / "templates"
    return (folder / name).read_text(encoding="utf-8")


def _script() -> str:
    """Return the file's script: its parts within one function, so that nothing else sees them."""
    return "\n".join(('"use strict";', "(() => {", *map(_resource, _PARTS), "})();", ""))


@dataclass(frozen=True, slots=True)
class _Section:
    """One hole as the template shows it."""

    ref: str
    facts: str
    wind: str
    expected: tuple[PhoneTold, ...]
    map: Markup
    others: tuple[tuple[str, tuple[PhoneTold, ...]], ...]


def phone_html(file: PhoneFile) -> str:
    """Write the file for the phone.

    Returns
    -------
    str
        A whole HTML document: no request to anywhere, and no script but its own, by its hash.

    Raises
    ------
    InputError
        When the units are unknown.
    """
    text = _written(file, check_units(file.units))
    if len(text.encode()) > MOST_BYTES:
        text = _written(_leaner(file), check_units(file.units))
    return text


def _leaner(file: PhoneFile) -> PhoneFile:
    """Return the file without the landings from lies other than tees."""

    def bare(answer: PhoneAnswer) -> PhoneAnswer:
        return replace(answer, throws=tuple(replace(one, dots_m=()) for one in answer.throws))

    holes = tuple(
        replace(
            hole,
            answers=tuple((wind[0], *(bare(one) for one in wind[1:])) for wind in hole.answers),
        )
        for hole in file.holes
    )
    return replace(file, holes=holes, about=(*file.about, _LEFT_OUT))


def _written(file: PhoneFile, units: Units) -> str:
    script = _script()
    mapped = [_mapped(file, hole, units, n) for n, hole in enumerate(file.holes, start=1)]
    sections = [
        _section(file, hole, drawn, units)
        for hole, drawn in zip(file.holes, mapped, strict=True)
    ]  # fmt: skip
    return (
        _environment()
        .get_template("phone.html.j2")
        .render(
            file=file,
            policy=_policy(script),
            style=_ready(picture_css()),
            own_style=_ready(_sun_css() + _resource("phone.css")),
            cautions=CAUTIONS,
            made=date_words(file.made_on),
            holes=sections,
            data=_ready(_data(file, mapped)),
            script=_ready(script),
        )
    )


def _sun_css() -> str:
    """Return black on white whatever the phone is set to, and more contrast for who asks for it."""
    bare = {"quiet": "ink", "faint": "quiet"}

    def paints(theme: Mapping[str, str], paper: str, ink: str) -> str:
        plain = {name: theme[bare.get(name, name)] for name in theme}
        plain |= {"paper": paper, "ink": ink, "quiet": ink}
        return ";".join(f"--{name}:{colour}" for name, colour in plain.items())

    bright, black = paints(LIGHT, "#fff", "#000"), paints(DARK, "#000", "#fff")
    return (
        f"@media screen and (prefers-contrast:more){{:root{{{bright}}}}}"
        "@media screen and (prefers-contrast:more) and (prefers-color-scheme:dark)"
        f"{{:root{{{black}}}}}"
        f"@media screen{{:root.sun{{{bright};color-scheme:light}}}}"
    )


def _policy(script: str) -> str:
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    return (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _ready(text: str) -> Markup:
    return Markup(text)  # noqa: S704 - ours: style, script, and data that _data made safe


# -- without script ------------------------------------------------------------------------------


def _section(file: PhoneFile, hole: PhoneHole, drawn: HoleMap, units: Units) -> _Section:
    facts = [distance(hole.length_m, units)]
    facts += [f"par {hole.par}"] if hole.par is not None else []
    facts += [hole.name] if hole.name else []
    others = tuple(
        (_wind_words(hole, wind), hole.told[n])
        for n, wind in enumerate(file.winds)
        if n != file.expected
    )
    wind = _wind_words(hole, file.winds[file.expected])
    return _Section(
        hole.ref, ", ".join(facts), f"Wind: {wind}.", hole.told[file.expected],
        _ready(drawn.svg), others,
    )  # fmt: skip


def _wind_words(hole: PhoneHole, wind: PhoneWind) -> str:
    """Say "moderate breeze 6 m/s from the north-west: from ahead and the left"."""
    if wind.strength == 0:
        return wind.words
    seen = wind_direction(_seen_deg(hole, wind))
    if hole.bearing_deg is None:
        return f"{wind.words} {seen}"
    return f"{wind.words} from the {_COMPASS[round(wind.from_deg / 45.0) % 8]}: {seen}"


def _first(wind: PhoneWind, file: PhoneFile) -> str:
    """Say a strength with its speed first, where there is little room: "6 m/s moderate breeze"."""
    if wind.strength == 0:
        return wind.words
    speed = wind_speed(wind.speed_m_s, check_units(file.units))
    return f"{speed} {wind.words.removesuffix(speed).strip()}"


def _seen_deg(hole: PhoneHole, wind: PhoneWind) -> float:
    """Return where a wind comes from as seen from the tee; 0 is from the basket."""
    return (wind.from_deg - (hole.bearing_deg or 0.0)) % 360.0


def _mapped(file: PhoneFile, hole: PhoneHole, units: Units, n: int) -> HoleMap:
    wind = file.winds[file.expected]
    seen = None if wind.strength == 0 else _seen_deg(hole, wind)
    told = (
        f"Choice {place}: {one.disc}, {one.line}; {one.landing}."
        for place, one in enumerate(hole.told[file.expected], start=1)
    )
    throws = hole.answers[file.expected][0].throws
    return hole_map(hole, throws, seen, units, prefix=f"map-{n}", words=" ".join(told))


# -- for the script ------------------------------------------------------------------------------


def _data(file: PhoneFile, mapped: list[HoleMap]) -> str:
    """Return what the script reads, as JSON that may stand in a document."""
    bearings = any(hole.bearing_deg is not None for hole in file.holes)
    data = {
        "course": file.course,
        "conditions": file.conditions,
        "units": file.units,
        "air": file.air,
        "expected": file.expected,
        "oneStyle": file.one_style,
        "discs": [[disc.id, disc.label] for disc in file.discs],
        "bases": [[base.style, base.hyzer_deg, base.launch_deg] for base in file.bases],
        "winds": [
            [wind.strength, round(wind.from_deg), wind.speed_m_s, wind.words, _first(wind, file)]
            for wind in file.winds
        ],
        "sides": [f"from the {one}" for one in _COMPASS] if bearings else list(_SEEN),
        "short": list(_SHORT if bearings else _SEEN_SHORT),
        "seen": list(_SEEN),
        "putts": [round(made, 3) for made in file.putts],
        "holes": [
            {
                "ref": hole.ref,
                "par": hole.par,
                "length": round(hole.length_m, 2),
                "bearing": None if hole.bearing_deg is None else round(hole.bearing_deg, 2),
                "map": [round(v, 4) for v in (drawn.px_m, drawn.right_m, drawn.top_m)],
                "lies": [[round(lie.x_m, 1), round(lie.y_m, 1), lie.kind] for lie in hole.lies],
                "answers": pack(hole.answers),
            }
            for hole, drawn in zip(file.holes, mapped, strict=True)
        ],
    }  # fmt: skip
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    # Nothing in it can end the element that it stands in, or begin another.
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
