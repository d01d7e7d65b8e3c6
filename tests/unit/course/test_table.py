from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.course.features import length_m, natural_key
from rimwise.course.table import course_from_table, holes_from_facts
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole


def test_a_table_becomes_open_corridors_to_the_north():
    table = b"hole,length (m),par,elevation change (m)\n1,85,3,-4\n2,132.5,4,\n"
    course = course_from_table(table, "Park").course
    assert course.name == "Park"
    assert not course.bearings_known
    assert course.origin_lat_deg is None
    assert course.areas == ()
    first, second = course.holes
    assert (first.length_m, first.par, first.elevation_change_m) == (85.0, 3, -4.0)
    assert (second.length_m, second.par, second.elevation_change_m) == (132.5, 4, 0.0)
    assert first.bearing_deg == second.bearing_deg == 0.0
    assert abs(first.tee[0] - second.tee[0]) >= 300.0


@pytest.mark.parametrize(
    "table",
    [
        "Hole,Distance (ft),Elevation\n7,300,-10\n",
        "hole\tlength_ft\tclimb\n7\t300\t-10\n",
        "par;length;hole;up\n3;300 ft;7;-10 ft\n",
        "\ufeff\nhole,dist,slope (ft)\n7,300',-10\n\n",
    ],
)
def test_units_stand_in_the_heading_or_in_the_cell(table):
    hole = course_from_table(table.encode(), "").course.holes[0]
    assert hole.ref == "7"
    assert hole.length_m == pytest.approx(91.44)
    assert hole.elevation_change_m == pytest.approx(-3.048)


def test_a_decimal_comma_between_semicolons():
    course = course_from_table(b"hole;length (m)\n1;85,5\n", "").course
    assert course.holes[0].length_m == 85.5


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (b"", "empty"),
        (b"\xff\xfe", "not UTF-8"),
        (b"hole,length (m)\n", "no hole"),
        (b"length (m),par\n80,3\n", "line 1 of the course table has no hole column"),
        (b"hole,par\n1,3\n", "line 1 of the course table has no length column"),
        (b"hole,length\n1,300\n", r"line 2 .*hole 1.* length 300 has no unit"),
        (b"hole,length (m)\n1,80\n2,far\n", "line 3 .*length 'far' is no length"),
        (b"hole,length (m)\n1,80\n,90\n", "line 3 of the course table has no hole number"),
        (b"hole,length (m)\n1,5\n", "line 2 of the course table: length of hole 1 must be"),
        (b"hole,length (m),par\n1,80,few\n", "par 'few'"),
        (b"hole,length (m),par\n1,80,9\n", "line 2 of the course table: par of hole 1 must be"),
        (b"hole,length (m)\n1,80\n1,90\n", "hole 1 twice"),
        (b'hole,length (m)\n1,"' + b"8" * 200_000 + b'"\n', "cannot be read"),
    ],
)
def test_each_bad_table_is_refused_in_one_sentence(table, words):
    with pytest.raises(InputError, match=words) as caught:
        course_from_table(table, "Park")
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


@given(st.integers(1, 99), st.integers(1, 99), st.sampled_from(["", "A", "b"]))
def test_numbers_come_before_letters_in_playing_order(one, two, letter):
    assert (natural_key(f"{one}") < natural_key(f"{two}")) == (one < two)
    assert natural_key(f"{one}") <= natural_key(f"{one}{letter}")
    assert natural_key(f"{one}") < natural_key("A")


@given(st.decimals(0, 9999, places=2))
def test_lengths_by_unit(value):
    assert length_m(f"{value}") == length_m(f" {value} m ") == float(value)
    # The international foot and yard (1959) are 0.3048 m and 0.9144 m exactly.
    assert length_m(f"{value} ft") == pytest.approx(float(value) * 0.3048)
    assert length_m(f"{value} yards") == pytest.approx(float(value) * 0.9144)


@pytest.mark.parametrize("text", ["", "ft", "3 miles", "1e5", "nan", "1,000.5", "12 m 3"])
def test_what_is_no_length(text):
    assert length_m(text) is None


@pytest.mark.parametrize(
    ("table", "climb_m"),
    [
        ("hole,length (m),slope (%)\n1,80,-5\n", -4.0),
        ("hole,length (m),slope\n1,80,2.5 %\n", 2.0),
        ("hole,length (m),tee height,basket height\n1,80,12,9.5\n", -2.5),
        ("hole,length (m),tee height (ft),basket height (ft)\n1,80,10,20\n", 3.048),
        ("hole,length (m),shelter\n1,80,0.4\n", 0.0),
    ],
)
def test_heights_come_as_climb_slope_or_ends(table, climb_m):
    hole = course_from_table(table.encode(), "").course.holes[0]
    assert hole.elevation_change_m == pytest.approx(climb_m)
    assert hole.shelter == (0.4 if "shelter" in table else None)


FILED = Course("heath", (Hole("1", (0, 0), (0, 80), 3, -2.0), Hole("2", (0, 0), (0, 100))))


def test_a_table_of_facts_changes_what_it_says_and_nothing_else():
    table = b"hole,par,slope (%),shelter,name\n2,4,3,0.5,ridge\n1,,,,\n"
    first, second = holes_from_facts(table, FILED)
    assert first == FILED.holes[0]
    assert (second.par, second.elevation_change_m) == (4, pytest.approx(3.0))
    assert (second.shelter, second.name, second.basket) == (0.5, "ridge", (0, 100))


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (b"hole,length (m)\n1,80\n", "no column that says what is to be changed"),
        (b"hole,par\n9,3\n", "line 2 of the table of holes: heath has no hole '9'; it has 1, 2"),
        (b"hole,par\n1,\n2,9\n", "line 3 of the table of holes: par of hole 2 must be"),
        (b"hole,shelter\n1,thick\n", "shelter 'thick' is no number"),
        (b"hole,shelter\n1,4\n", "line 2 of the table of holes: shelter factor of hole 1"),
        (b"hole,slope\n1,4\n", r"slope 4 has no unit; write \"slope \(%\)\""),
        (b"hole,climb\n1,4\n", "elevation change 4 has no unit"),
        (b"hole,tee height (m),basket height (m)\n1,4,\n", "only one of tee height"),
    ],
)
def test_each_bad_table_of_facts_is_refused_in_one_sentence(table, words):
    with pytest.raises(InputError, match=words) as caught:
        holes_from_facts(table, FILED)
    assert str(caught.value).endswith(".")
    assert str(caught.value).count("of the table of holes") <= 1
