"""Sound samples of everything that is read, and random changes of them.

Shared by the tests of tests/unit/safety, by hypothesis in CI, and by `make fuzz`, which runs
them for longer and follows the lines that a change reaches.
"""

from __future__ import annotations

import os
import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from importlib import resources
from pathlib import Path

from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole

__all__ = [
    "EDITS",
    "LONG",
    "PARSERS",
    "TOKENS",
    "Parser",
    "accepted",
    "changed",
    "changed_at_random",
]

#: Set by `make fuzz`.
LONG = os.environ.get("RIMWISE_FUZZ") == "long"
DEMO = Path(str(resources.files("rimwise.demo") / "data"))

#: What is put where something else was.
TOKENS = (
    *("", " ", "0", "1", "-1", "-0", "7", "1e9", "1e999", "nan", "inf", "-inf", "1_000", "0x10"),
    *("9" * 30, "9" * 400, "1" * 5000, "0.5", "0,5", "½", "٣", "۷", "²", "−5", "–", "180", "360"),
    "1e-320",
    *('"', "'", ",", ";", "\t", "\n", "\r\n", "\r", "\0", "\x0b", "\x1c", "\x85", "\u2028"),
    *("\ufeff", "\u202e", "\u0130", "ß", "é", "🥏", "İi", "a" * 300, "=1+1", "<script>", "&amp;"),
    *("&x;", "]]>"),
    *("[", "]", "{", "}", "[[", "null", "true", "(", ")", "%", "{0}", "%s", "--", "-", "/", ".."),
    *("m", "ft", "30 ft", "12m 5L", "left", "no", "yes", "same as a", "tee", "9999", "M", "KT"),
    *("METAR", "TAF", "2026-02-30", "29 Feb", "0000-00-00", "9999-12-31", "now", "NaN", "Infinity"),
)  # fmt: skip
#: What can be done at a place: put something in, cut, write over, repeat, exchange, flip a bit.
EDITS = ("insert", "cut", "replace", "number", "repeat", "swap", "flip")


@dataclass(frozen=True, slots=True)
class Parser:
    """Something that reads: sound samples, and a call that returns or raises ``InputError``."""

    samples: tuple[bytes, ...]
    read: Callable[[bytes], object]


def changed(data: bytes, edits: Sequence[tuple[str, int, int, str]]) -> bytes:
    """Return a sample after some edits: what, where, how far, and with what."""
    for edit, place, length, token in edits:
        at = place % (len(data) + 1)
        end = min(len(data), at + length)
        put = token.encode()
        if edit == "insert":
            data = data[:at] + put + data[at:]
        elif edit == "cut":
            data = data[:at] + data[end:]
        elif edit == "replace":
            data = data[:at] + put + data[end:]
        elif edit == "number":
            found = list(re.finditer(rb"[-+]?[0-9]+([.,][0-9]+)?", data))
            if found:
                number = found[place % len(found)]
                data = data[: number.start()] + put + data[number.end() :]
        elif edit == "repeat":
            data = data[:end] + data[at:end] * 3 + data[end:]
        elif edit == "swap":
            lines = data.split(b"\n")
            one, other = place % len(lines), length % len(lines)
            lines[one], lines[other] = lines[other], lines[one]
            data = b"\n".join(lines)
        elif at < len(data):
            data = data[:at] + bytes([data[at] ^ 1 << length % 8]) + data[at + 1 :]
    return data


def changed_at_random(data: bytes, chance: random.Random) -> bytes:
    """Return a sample after one to four edits."""
    edits = [
        (
            chance.choice(EDITS),
            chance.randrange(1 << 16),
            chance.randrange(24),
            chance.choice(TOKENS),
        )
        for _ in range(chance.randint(1, 4))
    ]
    return changed(data, edits)


def _demo(name: str, most: int = 600) -> bytes:
    """Return the first lines of a file of the demo."""
    data = (DEMO / name).read_bytes()
    return data[: data.rfind(b"\n", 0, most) + 1] if len(data) > most else data


def _texts(read: Callable[[str], object]) -> Callable[[bytes], object]:
    return lambda data: read(data.decode("utf-8", "replace"))


def _said(*samples: str) -> tuple[bytes, ...]:
    return tuple(one.encode() for one in samples)


OSM = b"""<osm version="0.6">
<node id="-1" lat="45.0000" lon="-35.0000"><tag k="disc_golf" v="tee"/><tag k="ref" v="1"/></node>
<node id="-2" lat="45.0008" lon="-35.0001"><tag k="disc_golf" v="basket"/><tag k="ref" v="1"/>
<tag k="ele" v="12"/></node><node id="-3" lat="45.0004" lon="-35.0003"/>
<node id="-4" lat="45.0005" lon="-35.0003"/><node id="-5" lat="45.0005" lon="-34.9999"/>
<node id="-6" lat="45.0004" lon="-35.0000"><tag k="disc_golf" v="mando"/><tag k="ref" v="1"/>
<tag k="side" v="left"/></node>
<way id="-7"><nd ref="-1"/><nd ref="-2"/><tag k="disc_golf" v="hole"/><tag k="ref" v="1"/>
<tag k="par" v="3"/><tag k="dist" v="290 ft"/></way>
<way id="-8"><nd ref="-3"/><nd ref="-4"/><nd ref="-5"/><nd ref="-3"/><tag k="natural" v="wood"/>
<tag k="height" v="12 m"/><tag k="stems_per_ha" v="400"/></way>
<relation id="-9"><member type="way" ref="-8" role="outer"/><tag k="type" v="multipolygon"/>
<tag k="natural" v="water"/></relation></osm>
"""
GEOJSON = b"""{"type": "FeatureCollection", "name": "Heath", "features": [
{"type": "Feature", "properties": {"disc_golf": "hole", "ref": "1", "par": 3, "ele": 4.5},
"geometry": {"type": "LineString", "coordinates": [[-35.0, 45.0], [-35.0001, 45.0008, 3]]}},
{"type": "Feature", "properties": {"natural": "wood", "height": "12 m", "stems_per_ha": "dense"},
"geometry": {"type": "Polygon", "coordinates": [[[-35.0003, 45.0004], [-35.0003, 45.0005],
[-34.9999, 45.0005], [-35.0003, 45.0004]]]}},
{"type": "Feature", "properties": {"disc_golf": "drop_zone", "ref": "1", "after": "water"},
"geometry": {"type": "Point", "coordinates": [-35.0001, 45.0004]}}]}
"""
TABLE = b"hole,length (m),par,climb (m),shelter,name\n1,80,3,-2,0.6,Pond\n2,280 ft,3,,,\n"
FACTS = b"hole;par;tee height (ft);basket height (ft)\n1;3;100;90\n"
STRIPS = (
    b"kind,hole,from (m),to (m),left (m),right (m),pass,after,stems,height (m)\n"
    b"wood,1,20,60,25,-8,,,dense,12\nmando,1,40,,3,,left,,,\ndrop zone,1,50,,0,,,water,,\n"
)
CLIMATE = (
    b"month,temperature (F),spread,wind (mph),calm (%),wet,cover,dusk,rounds,N,E,S,W\n"
    b"Nov,41,8,9,5,0.4,bare,yes,4,1,2,3,4\nDec,36,,10,5,50%,snow,no,2,2,2,2,2\n"
)
THROWS = (
    b"on,disc,style,hyzer_deg,launch_deg,effort,distance_m,left_m,conditions,note\n"
    b"2025-11-09,nh27-red,backhand,5,10,1,60,-18.5,,invented\n9 Nov 2025,nh27-red,,,,,70,2,,\n"
)
LOGGED = b"on,disc,throw\n2025-11-09,nh27-red,64m 5L\n2025-11-09,nh27-red,70m 2R hyzer\n"
EVIDENCE = {
    "throws": (THROWS, LOGGED),
    "comparisons": (
        b"on,more,less,quality,plainly,note\n2025-11-10,nh27-red,nh27-blue,stability,yes,x\n",
        b"on,comparison\n2025-11-10,nh27-red slightly more stable than nh27-blue\n",
    ),
    "grips": (b"on,disc,air,grade\n2025-11-10,nh27-red,cold wet,3.5\n",),
    "wear": (b"on,disc,wear,note\n2025-11-10,nh27-red,worn,x\n",),
    "knocks": (b"on,disc,knock,hard,note\n2025-11-10,nh27-red,tree,yes,x\n",),
    "putts": (b"on,distance_m,tried,made\n2025-11-12,3,20,17\n2025-11-12,15 ft,20,9\n",),
    "rounds": (
        b"on,course,conditions,hole,strokes,note\n2025-11-16,heath,,1,3,x\n",
        b"on,course,scores\n2025-11-16,heath,3\n",
    ),
}
METAR = "METAR EHAM 141825Z 18010G20KT 2700 -RA BR BKN012 04/03 Q1024"
TAFS = _said(
    "TAF EHAM 251130Z 2512/2618 22015G25KT 9999 -RA SCT020 TX08/2514Z TNM02/2606Z",
    "TAF EDDF 312300Z 3124/0124 VRB03KT CAVOK PROB30 TEMPO 0106/0112 25015MPS TX04/3114Z",
)


def _store_parsers() -> dict[str, Parser]:
    from rimwise.flight.printed import Printed
    from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
    from rimwise.store.exchange.climate import read_climate
    from rimwise.store.exchange.conditions import read_conditions
    from rimwise.store.exchange.discs import read_discs
    from rimwise.store.exchange.evidence_scope import Scope
    from rimwise.store.exchange.evidence_tables import evidence_kind, read_evidence_csv
    from rimwise.store.exchange.json_files import read_cart_json, read_thrower_json
    from rimwise.store.exchange.known import Known
    from rimwise.store.exchange.plastics import read_plastics_csv
    from rimwise.store.exchange.taf import days_from_taf

    mold = Mold("NH 27", Printed(7.0, 5.0, -2.0, 1.0), "NH", 0.211, 0.017)
    plastic = Plastic("soft base", Grip(4.0, 3.5, 4.0, 3.0), 0.3)
    red, blue = (Disc(f"nh27-{one}", "NH 27", "soft base", Weight(172.0, 1.0), colour=one)
                 for one in ("red", "blue"))  # fmt: skip
    known = Known.of([mold], [plastic], [red, blue])
    scope = Scope(discs=(red, blue), courses=(_course(),), today=date(2026, 6, 1))
    lines = "blue NH 27, soft base, 170ish, old\nred NH 27, soft base, 5 g lighter than nh27-red\n"

    def logged(kind: str, data: bytes) -> object:
        evidence_kind(data, "x.csv")
        return read_evidence_csv(data, "x.csv", kind, scope)

    return {
        "discs": Parser(
            (_demo("discs.csv"), *_said(lines)), lambda data: read_discs(data, "x.csv", known)
        ),
        "plastics": Parser((_demo("plastics.csv"),), lambda data: read_plastics_csv(data, "x.csv")),
        "conditions": Parser(
            (_demo("winter.csv"), _demo("summer.csv"), METAR.encode()),
            lambda data: read_conditions(data, "x.csv", title="x"),
        ),
        "climate": Parser((CLIMATE,), lambda data: read_climate(data, "x.csv")),
        "taf": Parser(TAFS, _texts(partial(days_from_taf, elevation_m=0.0, temperature_c=5.0))),
        "thrower": Parser((_demo("thrower.json"),), lambda data: read_thrower_json(data, "x")),
        "cart": Parser((_demo("cart.json", 9_000),), lambda data: read_cart_json(data, "x")),
        "own throws": Parser(
            (THROWS.replace(b"nh27-red", b"nh27-blue"),), partial(logged, "throws")
        ),
        **{kind: Parser(samples, partial(logged, kind)) for kind, samples in EVIDENCE.items()},
    }


def _course() -> Course:
    return Course("heath", (Hole("1", (0, 0), (0, 80)),), origin_lat_deg=45.0, origin_lon_deg=-35.0)


def _course_parsers() -> dict[str, Parser]:
    from rimwise.course.drawn import features_on_course, with_features
    from rimwise.course.geojson import course_from_geojson, map_from_geojson
    from rimwise.course.osm import course_from_osm
    from rimwise.course.pbf import course_from_pbf
    from rimwise.course.strips import features_from_table
    from rimwise.course.table import course_from_table, holes_from_facts

    course = _course()

    def drawn(data: bytes) -> object:
        return with_features(course, features_on_course(course, map_from_geojson(data)))

    def strips(data: bytes) -> object:
        return with_features(course, features_from_table(data, course))

    return {
        "osm": Parser((OSM,), course_from_osm),
        "pbf": Parser((_pbf(),), course_from_pbf),
        "geojson": Parser((GEOJSON,), course_from_geojson),
        "drawn": Parser((GEOJSON,), drawn),
        "strips": Parser((STRIPS,), strips),
        "course table": Parser((TABLE,), lambda data: course_from_table(data, "x")),
        "hole facts": Parser((FACTS,), lambda data: holes_from_facts(data, course)),
    }


@cache
def _pbf() -> bytes:
    """Return the sample of a map as a binary map."""
    import tempfile

    import osmium

    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "x.osm", Path(folder) / "x.osm.pbf"
        source.write_bytes(OSM)
        with osmium.SimpleWriter(str(target)) as writer:
            for thing in osmium.FileProcessor(str(source)):
                writer.add(thing)
        return target.read_bytes()


def _word_parsers() -> dict[str, Parser]:
    from rimwise.app.noting import putts_said
    from rimwise.flight.air import Air
    from rimwise.flight.metar import parse_metar
    from rimwise.flight.wind import Wind
    from rimwise.records import evidence_words as words
    from rimwise.records import weather_words
    from rimwise.records.climate import months_in_words
    from rimwise.records.lie_words import lie_in
    from rimwise.records.throw_words import check_said, throw_in

    def metar(text: str) -> object:
        parse_metar(text)
        return Air.from_metar(text, 0.0), Wind.from_metar(text)

    return {
        "metar": Parser(
            _said(METAR, "METAR KPIT 051051Z VRB03KT 10SM M01/M03 A3021"), _texts(metar)
        ),
        "throw": Parser(
            _said("64m 5L", "12m left of the basket, 25m to go", "fh 80 ft 3 right hyzer 90%"),
            _texts(lambda text: check_said(throw_in(text))),
        ),
        "lie": Parser(
            _said("60m 5L", "tee", "45.00041,-35.00012", "200 ft 12 right"),
            _texts(lambda text: lie_in(text, "m")),
        ),
        "comparison": Parser(
            _said("nh27-red slightly more stable than nh27-blue", "a much longer than b"),
            _texts(words.comparison_in),
        ),
        "weather": Parser(
            _said(
                "4C wet wind 5m/s", "85F windy 15 to 20 mph from the west", "20mph from the left"
            ),
            _texts(weather_words.day_in),
        ),
        "air": Parser(_said("cold wet", "hot sweaty"), _texts(words.air_in)),
        "putts said": Parser(
            _said("3m 17/20", "15ft 9 of 20"), _texts(lambda text: putts_said([text]))
        ),
        "date": Parser(
            _said("2026-03-01", "yesterday", "9 Nov 2025"),
            _texts(lambda text: words.date_in(text, date(2026, 6, 1))),
        ),
        "speed": Parser(
            _said("60 mph", "25 m/s"), _texts(lambda text: words.speed_in(text, "speed"))
        ),
        "spin": Parser(
            _said("1100 rpm", "1100rpm"), _texts(lambda text: words.spin_in(text, "spin"))
        ),
        "length": Parser(
            _said("300 ft", "92,5"), _texts(lambda text: words.length_in(text, "x", "m"))
        ),
        "months": Parser(_said("Nov-Feb", "June, July"), _texts(months_in_words)),
    }


#: Everything that is read, by name.
PARSERS: dict[str, Parser] = {**_store_parsers(), **_course_parsers(), **_word_parsers()}


def accepted(parser: Parser, data: bytes) -> bool:
    """Return whether something is read; whatever is not is refused in a sentence."""
    try:
        parser.read(data)
    except InputError as error:
        assert str(error).strip()  # noqa: PT017 - most inputs raise, some do not
        return False
    return True
