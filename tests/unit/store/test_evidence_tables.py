"""Tables of evidence: any columns and units in, records or named problems out."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from importlib import resources

import pytest
import store_examples as ex
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rimwise.course.frame import LocalFrame
from rimwise.errors import InputError, NotFoundError
from rimwise.records.conditions import Conditions, Ground, ScenarioDay
from rimwise.records.courses import Course, Hole
from rimwise.records.discs import Status
from rimwise.records.evidence import Knock, Quality, Weather
from rimwise.records.throw_words import throw_in
from rimwise.records.thrower import Line, Style
from rimwise.store.exchange.evidence_scope import RETIRED_ON, Place, Scope
from rimwise.store.exchange.evidence_tables import (
    EVIDENCE_TABLES,
    evidence_kind,
    read_evidence_csv,
)
from rimwise.store.opening import open_store

TODAY = date(2026, 5, 3)
FOOT_M = 0.3048  # exact, international yard and pound agreement, 1959
COURSE = Course(
    "pines",
    (Hole("1", (0.0, 0.0), (0.0, 100.0)), Hole("2", (10.0, 0.0), (90.0, 0.0))),
    origin_lat_deg=54.0,
    origin_lon_deg=8.0,
)
GALE = ScenarioDay("gale", 3.0, 3.0, 1001.5, 0.9, 9.0, 240.0, 14.0, True, Ground.WET)
SCOPE = Scope(
    discs=(ex.RED, replace(ex.BLUE, colour="blue")),
    thrower=ex.THROWER,
    courses=(COURSE,),
    days={"gale": (GALE,), "frost": (ex.CONDITIONS.days[1], GALE)},
    today=TODAY,
)
DATA = resources.files("rimwise.demo") / "data"


def read(kind, text, scope=SCOPE):
    return read_evidence_csv(text, "log.csv", kind, scope)


def only(kind, text, scope=SCOPE):
    found = read(kind, text, scope)
    assert found.problems == ()
    (record,) = found.records
    return record


# -- throws ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "on,disc,distance_m,left_m\n2026-05-01,nh27-red,64,5\n",
        "Date;Disc;Distance;Left\n1 May 2026;NH 27 red;64m;5\n",
        "disc,on,distance (m),right (m)\nnh27-red,2026-05-01,64,-5\n",
        "disc,on,distance (m),side\nnh27-red,2026-05-01,64,5L\n",
        "disc,on,throw\nnh27-red,2026-05-01,64m 5L\n",
        "disc\ton\tlength\tto_go\tleft\nnh27-red\t2026-05-01\t77m\t13.92838828m\t5m\n",
    ],
    ids=["plain", "semicolons", "right", "side", "words", "to go"],
)
def test_one_throw_in_many_tables(text):
    throw = only("throws", text)
    assert (throw.on, throw.disc_id) == (date(2026, 5, 1), "nh27-red")
    assert throw.distance_m == pytest.approx(64.0, abs=1e-6)
    assert throw.left_m == 5.0
    assert throw.line == ex.THROWER.stock


def test_every_column_of_a_throw():
    throw = only(
        "throws",
        "on,disc,style,hyzer_deg,launch_deg,effort,distance_ft,left_ft,first_touch_ft,"
        "speed_mph,spin_rpm,conditions,ground,note\n"
        "2026-05-01,nh27-blue,fh,-8,12,80%,210,-15,190,50,1200,4C wet,frozen,'=windy\n",
    )
    assert throw.line == Line(Style.FOREHAND, -8.0, 12.0, 0.8)
    assert throw.distance_m == pytest.approx(210 * FOOT_M)
    assert throw.left_m == pytest.approx(-15 * FOOT_M)
    assert throw.first_touch_m == pytest.approx(190 * FOOT_M)
    assert throw.speed_m_s == pytest.approx(50 * 1609.344 / 3600)
    assert throw.spin_rad_s == pytest.approx(1200 * math.tau / 60)
    assert throw.weather == Weather(4.0, wet=True, ground=Ground.FROZEN)
    assert throw.note == "=windy"


def test_map_points_against_the_frame():
    """Tee, aim due north-east and rest laid out by the course frame's own inverse."""
    frame = LocalFrame(54.0, 8.0)
    rest = frame.to_geographic(30.0, 50.0)
    aim = frame.to_geographic(100.0, 100.0)
    header = "on,disc,tee_lat,tee_lon,rest_lat,rest_lon,aim_lat,aim_lon,bearing_deg\n"
    row = f"2026-05-01,nh27-red,54.0,8.0,{rest[0]!r},{rest[1]!r}"
    by_aim = only("throws", f"{header}{row},{aim[0]!r},{aim[1]!r},\n")
    by_bearing = only("throws", f"{header}{row},,,45\n")
    for throw in (by_aim, by_bearing):
        # (30 east, 50 north) turned by 45°: 80/√2 along, 20/√2 left.
        assert throw.distance_m == pytest.approx(80.0 / math.sqrt(2.0), abs=1e-3)
        assert throw.left_m == pytest.approx(20.0 / math.sqrt(2.0), abs=1e-3)


def test_a_hole_gives_tee_length_direction_and_the_way_of_the_wind():
    """Hole 2 runs due east, so a wind from 240° blows from 150°: from behind and the right."""
    rest = LocalFrame(54.0, 8.0).to_geographic(70.0, 4.0)
    header = "on,disc,hole,rest_lat,rest_lon,conditions\n"
    throw = only("throws", f"{header}2026-05-01,nh27-red,2,{rest[0]!r},{rest[1]!r},gale\n")
    assert throw.distance_m == pytest.approx(60.0, abs=1e-3)
    assert throw.left_m == pytest.approx(4.0, abs=1e-3)
    assert throw.conditions == "gale"
    assert throw.weather == Weather(3.0, 9.0, 150.0, True, Ground.WET)
    told = only("throws", "on,disc,hole,throw\n2026-05-01,nh27-red,1,4m past 3mR\n")
    assert (told.distance_m, told.left_m) == (104.0, -3.0)


BAD_THROWS = {
    "64,5": ["distance is 64 without a unit; write 64m or 64ft", "left is 5 without a unit"],
    "900m,5m": ["distance of a throw with nh27-red must be between -50 and 300 m, but is 900 m"],
    "210m,5m": ["more than 1.8 times as far as your fairway driver goes (90 m); check the unit"],
    "5m,64m": ["distance and its side mixed up; write the side as in 5mL"],
    "64m,": ["a throw needs the side too; write how far left or right"],
    "far,wide": ["distance is 'far'", "left is 'wide'"],
}


@pytest.mark.parametrize(("cells", "told"), BAD_THROWS.items(), ids=BAD_THROWS)
def test_a_bad_throw_is_told_with_its_line(cells, told):
    found = read("throws", f"on,disc,distance,left\n2026-05-01,nh27-red,{cells}\n")
    assert found.records == ()
    assert len(found.problems) == len(told)
    for problem, words in zip(found.problems, told, strict=True):
        assert str(problem).startswith("log.csv, line 2: ")
        assert words in str(problem)


def test_all_problems_of_all_rows_are_told_at_once():
    found = read(
        "throws",
        "on,disc,distance_m,left_m,style,effort,conditions\n"
        "2026-05-01,nh27-red,64,5,bh,80,gale\n"
        "2027-05-01,nh27-rde,64,x,xh,much,\n"
        "2026-05-01,nh27,64,5,,,gael\n",
    )
    assert len(found.records) == 1
    assert found.records[0].line.effort == 0.8
    told = [(problem.line, problem.field) for problem in found.problems]
    assert told == [
        *((3, field) for field in ("on", "disc", "left", "effort", "style")),
        (4, "disc"),
    ]
    assert "did you mean nh27-red" in str(found.problems[1])
    assert "fits 2 discs: nh27-red, nh27-blue" in str(found.problems[-1])


def test_half_a_map_point_and_both_sides_are_told():
    found = read(
        "throws", "on,disc,distance_m,left_m,right_m,tee_lat\n2026-05-01,nh27-red,64,5,5,54\n"
    )
    assert ["both given" in str(p) or "only one of" in str(p) for p in found.problems] == [True] * 2


# -- the scope -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "place", "told"),
    [
        ("12mL 25m to go", Place(), "add --length 95m"),
        ("12mL 10m to go", Place(95.0), "10 m to go is less than the 12 m sideways"),
        ("12m left of the basket", Place(95.0), "how far it was to go"),
        ("", Place(rest=(54.0, 8.0), tee=(54.0, 8.1)), "the line that was aimed along"),
        ("", Place(rest=(54.0, 8.0), bearing_deg=9.0), "needs the tee too"),
        ("", Place(rest=(8.0, 54.0), tee=(54.0, 8.0), bearing_deg=9.0), "latitude before"),
        ("", Place(rest=(54.0, 8.0), tee=(54.0, 8.0), aim=(54.0, 8.0)), "aim point is at the tee"),
        ("64m 5L", Place(rest=(54.0, 8.0), tee=(54.0, 8.0), bearing_deg=9.0), "keep one of them"),
        ("64m 5L", Place(hole="9"), "no hole '9'"),
        ("64m 5L in frost", Place(), "several days are called 'frost'"),
        ("64m 5L in gael", Place(), "Did you mean the day 'gale'?"),
    ],
)
def test_what_is_missing_or_does_not_fit_is_said(text, place, told):
    with pytest.raises(InputError, match=told.replace("?", r"\?")):
        SCOPE.throw(TODAY, "nh27-red", throw_in(text), place)


def test_anyway_takes_a_long_throw():
    said = throw_in("210m 5L")
    throw = replace(SCOPE, anyway=True).throw(TODAY, "nh27-red", said)
    assert throw.distance_m == 210.0


def test_without_a_thrower_a_throw_is_a_flat_backhand_of_any_length():
    throw = replace(SCOPE, thrower=None).throw(TODAY, "nh27-red", throw_in("250m 5L"))
    assert throw.line == Line(Style.BACKHAND, 0.0, 10.0, 1.0)


def test_another_style_than_the_stock_throw_is_thrown_flat():
    assert SCOPE.throw(TODAY, "nh27-red", throw_in("64m 5L fh")).line.hyzer_deg == 0.0
    assert SCOPE.throw(TODAY, "nh27-red", throw_in("64m 5L bh")).line == ex.THROWER.stock


def test_ground_grades_and_courses_that_are_not_there_are_said():
    with pytest.raises(InputError, match="ground must be one of soft, firm, hard, wet, frozen"):
        SCOPE.throw(TODAY, "nh27-red", throw_in("64m 5L"), ground="mud")
    with pytest.raises(InputError, match="a throw needs its distance"):
        SCOPE.throw(TODAY, "nh27-red", throw_in("5mL"))
    with pytest.raises(InputError, match="the grip grade is empty"):
        SCOPE.grip(TODAY, "nh27-red", "hot", "")
    with pytest.raises(NotFoundError, match="there is no course yet"):
        replace(SCOPE, courses=()).round(TODAY, "pines", ["3"])
    both = replace(SCOPE, courses=(COURSE, replace(COURSE, name="pine wood")))
    with pytest.raises(InputError, match="2 courses fit 'pine'; name one: 'pines' or 'pine wood'"):
        both.round(TODAY, "pine", ["3", "3"])
    assert both.course("Pines").name == "pines"
    with pytest.raises(InputError, match="the score of hole 1 is 'x'; write whole strokes"):
        SCOPE.round(TODAY, "pines", ["1:x"])


def retired(on=None, **changes):
    red = replace(ex.RED, status=Status.RETIRED)
    days = {} if on is None else {red.id: on}
    return replace(SCOPE, discs=(red, ex.BLUE), retired_on=days, **changes)


def test_evidence_of_a_retired_disc_is_taken_up_to_the_day_it_was_retired():
    spring, may = date(2026, 4, 1), date(2026, 5, 1)
    assert retired(may).knock(spring, "nh27-red").disc_id == "nh27-red"
    for on in (may, TODAY):
        with pytest.raises(InputError, match=r"retired since 2026-05-01, .* add --anyway"):
            retired(may).knock(on, "nh27-red")
    # Where the day is not known, only that it is retired now.
    assert retired().knock(may, "nh27-red").on == may
    with pytest.raises(InputError, match="nh27-red is retired now"):
        retired().knock(TODAY, "nh27-red")
    assert retired(may, anyway=True).knock(TODAY, "nh27-red").on == TODAY
    assert retired(may, named=frozenset(["nh27-red"])).knock(TODAY, "nh27-red").on == TODAY


def test_a_scope_gathers_what_is_on_file(tmp_path):
    with open_store(tmp_path / "data.sqlite") as store:
        ex.fill(store)
        store.conditions.put(Conditions("spring", (replace(GALE, name="gale", temperature_c=9.0),)))
        store.settings.put(RETIRED_ON, {"nh27-blue": "2026-04-01"})
        scope = Scope.of(store, TODAY)
        assert scope.retired_on == {"nh27-blue": date(2026, 4, 1)}
        assert scope.weather("winter: gale")[1].temperature_c == 3.0
        assert scope.weather("Spring")[1].temperature_c == 9.0
        with pytest.raises(InputError, match="write 'winter: gale' or 'spring: gale'"):
            scope.weather("gale")
        assert scope.course(None).name == "heath"
        with pytest.raises(
            NotFoundError, match="no course is called 'pines'; did you mean 'heath'"
        ):
            scope.course("pines")


# -- the other kinds -------------------------------------------------------------------------


def test_comparisons_by_columns_or_in_words():
    header = "on,more,less,quality,plainly,alike,note\n"
    one = only("comparisons", f"{header}2026-05-01,nh27-red,nh27-blue,reach,yes,,far\n")
    assert (one.more, one.less, one.quality) == ("nh27-red", "nh27-blue", Quality.REACH)
    assert (one.plainly, one.alike, one.note) == (True, False, "far")
    same = only("comparisons", "on,comparison\n2026-05-01,NH 27 blue = nh27-red\n")
    assert (same.more, same.alike) == ("nh27-blue", True)
    itself = read("comparisons", f"{header}2026-05-01,nh27-red,NH 27 red,,,,\n")
    assert "needs two discs, but both are nh27-red" in str(itself.problems[0])
    wrong = read("comparisons", f"{header}2026-05-01,nh27-red,nh27-blue,looks,,,\n")
    assert "write stability, reach or grip" in str(wrong.problems[0])


def test_grips_wear_and_knocks():
    grip = only("grips", "on,disc,air,grade\n2026-05-01,nh27-red,wet cold,good\n")
    assert (grip.air, grip.grade) == ("cold-wet", 4.0)
    assert "write 1 to 5" in str(
        read("grips", "on,disc,air,grade\n2026-05-01,nh27-red,hot,6\n").problems[0]
    )
    wear = only("wear", "date,disc,wear\n2026-05-01,nh27-red,30%\n")
    assert wear.wear == pytest.approx(0.3)
    assert read("wear", "date,disc,wear\n2026-05-01,nh27-red,\n").problems
    knock = only("knocks", "on,disc,hit,hard\n2026-05-01,nh27-red,a gate,no\n")
    assert knock == Knock(date(2026, 5, 1), "nh27-red", "a gate", False)


def test_putts():
    putts = only("putts", "on,distance_ft,tried,made,conditions\n2026-05-01,20,20,13,gale\n")
    assert putts.distance_m == pytest.approx(20 * FOOT_M)
    assert (putts.tried, putts.made, putts.conditions) == (20, 13, "gale")
    more = read("putts", "on,distance_m,tried,made\n2026-05-01,6,20,21\n2026-05-01,6,2.5,1\n")
    assert [problem.line for problem in more.problems] == [2, 3]
    assert "between 0 and the 20 tried, but are 21" in str(more.problems[0])


def test_rounds_hole_by_hole_or_in_one_row():
    header = "on,course,hole,strokes,conditions\n"
    rows = "2026-05-01,pines,1,3,gale\n2026-05-01,pines,2,4,gale\n"
    (one,) = read("rounds", header + rows).records
    assert [(score.hole, score.strokes) for score in one.scores] == [("1", 3), ("2", 4)]
    assert one.weather.wind_from_deg is None
    assert len(read("rounds", header + rows + rows).records) == 2  # a hole again: another round
    row = only("rounds", "on,course,scores\n2026-05-01,pines,- 4\n")
    assert [(score.hole, score.strokes) for score in row.scores] == [("2", 4)]
    bad = read("rounds", header + "2026-05-01,pines,7,3,\n2026-05-01,pines,1,x,\n")
    assert [(problem.line, problem.field) for problem in bad.problems] == [
        (2, "hole"),
        (3, "strokes"),
    ]
    few = read("rounds", "on,course,scores\n2026-05-01,pines,3\n")
    assert "pines has 2 holes, but 1 scores are given" in str(few.problems[0])


# -- files as a whole ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("throws.csv", "throws"),
        ("comparisons.csv", "comparisons"),
        ("putts.csv", "putts"),
        ("rounds.csv", "rounds"),
        ("discs.csv", None),
        ("plastics.csv", None),
        ("winter.csv", None),
        ("summer.csv", None),
        ("course.osm", None),
    ],
)
def test_the_kind_is_told_from_the_header(name, kind):
    assert evidence_kind((DATA / name).read_bytes(), name) == kind


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        ("date;disc;air;grade", "grips"),
        ("on,disc,wear", "wear"),
        ("on,disc,hit", "knocks"),
        ("on,disc,rest_lat,rest_lon,tee_lat,tee_lon,bearing", "throws"),
        ("disc,wear", None),
        ("disc,distance", "throws"),
        ("on,disc", None),
    ],
)
def test_the_kind_of_a_bare_header(header, kind):
    assert evidence_kind(f"{header}\n".encode(), "log.csv") == kind


def test_missing_columns_are_told_and_unknown_ones_noticed():
    found = read("putts", "distance_m,tried\n6,20\n")
    told = [str(problem) for problem in found.problems]
    assert "no column for the date; add a column named on" in told[0]
    assert "the columns must have: distance, tried, made" in told[1]
    odd = read("wear", "on,disc,wear,mood\n2026-05-01,nh27-red,new,fine\n")
    assert [str(notice) for notice in odd.notices] == [
        "log.csv, line 1: the column 'mood' is not used; leave it or rename it."
    ]


CELLS = st.sampled_from(
    [
        *(
            "",
            "nh27-red",
            "nh27-blue",
            "nh27",
            "2026-05-01",
            "1 May",
            "64m",
            "64",
            "5L",
            "-5",
            "80%",
        ),
        *(
            "fh",
            "gale",
            "4C wet",
            "1",
            "2",
            "3 4",
            "- ²",
            "²",
            "54.0",
            "1e9",
            "9" * 400,
            "nan",
            "x",
        ),
        *("yes", "A > B", "nh27-red >> nh27-blue", "cold-wet", "reach", "13/20", "=x", "\x7f", "٣"),
    ]
)
HEADS = {
    "throws": "on,disc,throw,distance,left,right,side,to_go,short,length,hole,rest_lat,rest_lon,"
    "tee_lat,tee_lon,bearing,style,hyzer,launch,effort,first_touch,speed,spin,conditions,ground",
    "comparisons": "on,more,less,comparison,quality,plainly,alike,note",
    "grips": "on,disc,air,grade",
    "wear": "on,disc,wear,note",
    "knocks": "on,disc,knock,hard,note",
    "putts": "on,distance,tried,made,conditions",
    "rounds": "on,course,hole,strokes,conditions",
}


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(EVIDENCE_TABLES), st.data())
def test_any_cells_become_records_or_problems(kind, data):
    head = HEADS[kind]
    width = head.count(",") + 1
    row = st.lists(CELLS, min_size=width, max_size=width).filter(any)
    rows = data.draw(st.lists(row, min_size=1, max_size=3))
    found = read(kind, "\n".join([head, *(",".join(cells) for cells in rows)]) + "\n,\n")
    for problem in found.problems:
        assert 2 <= problem.line <= len(rows) + 1
        assert str(problem).endswith(".")
    assert found.problems or found.records
