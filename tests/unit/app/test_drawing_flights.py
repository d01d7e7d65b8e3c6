"""Flights in a notebook: a line of words, and a picture where there is a path."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from defusedxml.ElementTree import fromstring

import rimwise as rw
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.showing import lend_pen

SVG = "{http://www.w3.org/2000/svg}"
AERO = rw.aero_from_printed(rw.Printed(7, 5, -1, 2))
BODY = rw.Body.from_printed_speed(7, 0.172)
AIR = rw.Air.standard(0)


def fly(hyzer_deg: float = 0.0, **more: object) -> rw.Flight:
    release = rw.Release(22.0, 95.0, math.radians(10), math.radians(hyzer_deg), 0.0)
    return rw.fly(AERO, BODY, release, AIR, ground="firm", **more)  # type: ignore[arg-type]


def fly_some(count: int, path_points: int = 0) -> rw.Flights:
    launch = np.linspace(0.1, 0.2, count)
    release = ReleaseArrays(22.0, 95.0, launch, 0.0, 0.0)
    return rw.fly_many(AERO, BODY, release, AIR, ground="firm", path_points=path_points)


def test_a_flight_says_itself_in_one_line():
    flight = fly()
    said = repr(flight)
    assert said.startswith(f"Flight: first touch {flight.range_m:.1f} m out, ")
    assert f"at rest {flight.rest_m[0]:.1f} m out" in said
    assert f"apex {flight.apex_m:.1f} m, {flight.hang_s:.1f} s in the air" in said
    assert len(said) < 150
    assert "array" not in said
    stays = replace(flight, rest_m=flight.landing_m)
    assert "at rest" not in repr(stays)
    assert "still in the air" in repr(replace(flight, landed=False))
    assert "0.0 m right" not in repr(replace(flight, landing_m=np.array([50.0, -0.01, 0.0])))


def test_many_flights_say_themselves_in_one_line():
    flights = fly_some(40)
    low, high = np.quantile(flights.rest_m[:, 0], (0.1, 0.9))
    assert f"Flights: 40; at rest 8 of 10 lie {low:.1f} to {high:.1f} m out" in repr(flights)
    nothing = np.zeros((0, 3))
    none = replace(flights, landing_m=nothing, rest_m=nothing)
    assert repr(none) == "Flights: none"
    assert none._repr_html_() is None
    one_up = replace(flights, landed=np.arange(40) > 0)
    assert repr(one_up).endswith("; 1 still in the air")


def test_a_flight_draws_itself_where_it_has_a_path():
    flight = fly()
    html = flight._repr_html_()
    assert html is not None
    assert fromstring(html).tag == SVG + "svg"
    assert fly(path=False)._repr_html_() is None
    assert fromstring(fly_some(30)._repr_html_()).tag == SVG + "svg"
    assert fromstring(fly_some(30, 20)._repr_html_()).tag == SVG + "svg"


def test_without_a_pen_there_are_only_words():
    pen = lend_pen(None)
    try:
        assert fly()._repr_html_() is None
    finally:
        assert lend_pen(pen) is None
    assert fly()._repr_html_() is not None


def test_the_flight_layer_loads_no_pictures():
    code = (
        "import sys, rimwise.flight.fly; "
        "print([name for name in sys.modules if name.startswith('rimwise.') "
        "and not name.startswith(('rimwise.flight', 'rimwise.errors'))])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_flights_are_drawn_over_each_other_with_a_cloud_and_saved(tmp_path):
    throws = [("flat", fly()), ("hyzer", fly(15.0))]
    drawing = rw.draw_flights(throws, clouds={"hyzer": fly_some(50)}, units="ft")
    assert (
        drawing.svg == rw.draw_flights(dict(throws), clouds={"hyzer": fly_some(50)}, units="ft").svg
    )
    assert drawing._repr_svg_() == drawing.svg
    assert repr(drawing) == "Drawing: flat, hyzer, from above and from the side"
    said = "".join(fromstring(drawing.svg).itertext())
    assert "8 of 10" in said
    assert " ft" in said
    drawing.save(tmp_path / "both.svg")
    assert (tmp_path / "both.svg").read_text("utf-8") == drawing.svg
    with pytest.raises(rw.StoreError, match="cannot be written"):
        drawing.save(tmp_path / "no" / "both.svg")


def test_pictures_of_different_flights_can_stand_on_one_page():
    ids = [
        {e.attrib["id"] for e in fromstring(f._repr_html_()).iter() if "id" in e.attrib}
        for f in (fly(), fly(15.0), fly_some(30))
    ]
    assert not ids[0] & ids[1]
    assert not ids[1] & ids[2]


def test_a_cloud_of_no_throw_and_no_throw_at_all_are_refused():
    with pytest.raises(rw.InputError, match="'other', but no throw of this name"):
        rw.draw_flights({"mine": fly()}, clouds={"other": fly_some(20)})
    with pytest.raises(rw.InputError, match="at least one"):
        rw.draw_flights([])


def test_a_flight_keeps_its_way_on_the_ground_and_its_doubts():
    level, downhill = fly(), fly(ground_z_m=-5.0)
    for flight in (level, downhill):
        assert flight.ground_path_m[0] == pytest.approx(flight.landing_m, abs=1e-9)
        assert flight.ground_path_m[-1] == pytest.approx(flight.rest_m, abs=1e-9)
    assert float(downhill.ground_path_m[:, 2].min()) == pytest.approx(-5.0)
    assert fly(path=False).ground_path_m.shape == (0, 3)
    fast = rw.Release(45.0, 190.0, 0.1, 0.0, 0.0)
    assert any("45 m/s is faster" in doubt for doubt in rw.fly(AERO, BODY, fast, AIR).doubts)
    usual = rw.Release(22.0, 95.0, 0.1, 0.0, 0.0)
    assert rw.fly(AERO, BODY, usual, AIR).doubts == ()
