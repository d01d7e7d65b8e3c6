"""Bodies and flights against published limits, coefficients and trajectories."""

from __future__ import annotations

import csv
import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from authority_tables import coefficient_sets, read_table
from scipy.interpolate import CubicSpline

from rimwise.flight.air import Air
from rimwise.flight.body import Body, rim_width_from_printed_speed_m
from rimwise.flight.fly import fly
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release

if TYPE_CHECKING:
    from collections.abc import Callable

CATCH_DIAMETER_M = 0.2694  # area 0.057 m2, Hummel 2003
CATCH_DISC = Body(0.175, CATCH_DIAMETER_M, 0.002352, 0.001219)
# Launch shared by the published trajectories: flight path 0.105 rad, pitch 0.192 rad.
CATCH_THROW = Release(14.0, 50.0, 0.105, 0.0, 0.192 - 0.105, height_m=1.0)


def wind_tunnel_curves() -> Callable[[float], tuple[float, float, float]]:
    """Cubic splines through the wind-tunnel table of Potts and Crowther (2002)."""
    splines = []
    for quantity in ("CL", "CD", "CM"):
        rows = [r for r in read_table("wind_tunnel_disc.csv") if r["quantity"] == quantity]
        alpha = np.radians([float(r["alpha_deg"]) for r in rows])
        splines.append(CubicSpline(alpha, [float(r["value"]) for r in rows]))
    lift, drag, moment = splines
    return lambda a: (float(lift(a)), float(drag(a)), float(moment(a)))


def test_rigid_body_flies_the_wind_tunnel_trajectory() -> None:
    """Two independent rigid-body implementations agree to the printed digits; so must ours."""
    row = read_table("trajectories.csv")[0]
    flight = fly_reference(
        wind_tunnel_curves(),
        Damping(cm_q_s=-1.44e-2, cl_p_s=-1.25e-2, cn_r_n_m_s=-3.41e-5),
        CATCH_DISC,
        CATCH_THROW,
        Surroundings(1.23, gravity_m_s2=9.7935),
        points=2001,
    )
    assert flight.time_s[-1] == pytest.approx(float(row["hang_s"]), abs=0.003)
    assert flight.position_m[-1, 0] == pytest.approx(float(row["range_m"]), abs=0.02)
    assert -flight.position_m[-1, 1] == pytest.approx(float(row["right_m"]), abs=0.02)
    assert flight.position_m[:, 2].max() == pytest.approx(float(row["apex_m"]), abs=0.003)
    speed = np.linalg.norm(flight.velocity_m_s[-1])
    assert speed == pytest.approx(float(row["end_speed_m_s"]), abs=0.01)


@pytest.mark.parametrize("name", sorted(coefficient_sets()))
def test_published_coefficients_fly_like_a_catch_disc(name: str) -> None:
    """Hummel 2003; Hummel and Hubbard 2002; Crowther and Potts 2007.

    Thrown as in the published trajectory, each set flies 12–40 m for 1.5–6 s, and the
    production model stays within 0.3 m of the rigid body.
    """
    aero = coefficient_sets()[name]
    air = Air.standard(0)
    rigid = fly(aero, CATCH_DISC, CATCH_THROW, air, model="rigid")
    assert 12.0 < rigid.range_m < 40.0
    assert 1.5 < rigid.hang_s < 6.0
    precession = fly(aero, CATCH_DISC, CATCH_THROW, air)
    assert precession.landing_m == pytest.approx(rigid.landing_m, abs=0.3)


def test_wind_tunnel_table_has_the_facts_its_authors_state() -> None:
    """Zero lift at −3°, trim at 9° (Potts and Crowther 2002): guards the copied table."""
    curves = wind_tunnel_curves()
    assert curves(math.radians(-3))[0] == pytest.approx(0.0, abs=1e-9)
    assert curves(math.radians(9))[2] == pytest.approx(0.0, abs=1e-9)


def limits() -> dict[str, float]:
    return {row["item"]: float(row["limit"]) for row in read_table("technical_standards.csv")}


@pytest.mark.parametrize("speed", range(1, 15))
def test_assumed_dimensions_meet_the_technical_standards(speed: int) -> None:
    """Governing body's disc technical standards (secondary copy)."""
    body = Body.from_printed_speed(speed, 0.175)
    limit = limits()
    diameter_cm, rim_cm = body.diameter_m * 100, rim_width_from_printed_speed_m(speed) * 100
    assert limit["outside diameter minimum"] <= diameter_cm <= limit["outside diameter maximum"]
    assert rim_cm <= limit["rim width maximum"]
    assert diameter_cm - 2 * rim_cm >= limit["inside rim diameter minimum"]
    assert body.mass_kg * 1000 / diameter_cm <= limit["weight per diameter maximum"]


@pytest.mark.parametrize(("speed", "row"), list(zip((2, 5, 7, 10, 13), range(5), strict=True)))
def test_assumed_rims_fall_in_the_measured_classes(speed: int, row: int) -> None:
    """Rim-width classes of 1,260 approved discs (public export of October 2020)."""
    bounds = read_table("disc_dimensions.csv")[row]["rim_width_cm"].replace("<=", "0-").split("-")
    assert float(bounds[0]) <= rim_width_from_printed_speed_m(speed) * 100 <= float(bounds[-1])


def test_two_ring_model_is_close_to_the_measured_catch_disc_shape() -> None:
    """Axial over m r²: a hoop is 1, a uniform plate 0.5; golf discs lie between, near Hummel's.

    Hummel 2003 measured 0.74 for a thin-rimmed catch disc; the transverse moment is a
    little over half the axial one there (0.52) as here.
    """
    for speed in (2, 7, 13):
        body = Body.from_printed_speed(speed, 0.175)
        share = body.axial_inertia_kg_m2 / (body.mass_kg * (body.diameter_m / 2) ** 2)
        assert 0.6 < share < 0.8
        ratio = body.transverse_inertia_kg_m2 / body.axial_inertia_kg_m2
        assert ratio == pytest.approx(0.001219 / 0.002352, abs=0.02)


def test_tables_are_the_published_ones() -> None:
    """The copies carry their source in the first line."""
    for name in ("air_density", "coefficient_sets", "trajectories", "wind_tunnel_disc"):
        with (read_table.__globals__["AUTHORITIES"] / f"{name}.csv").open(encoding="utf-8") as file:
            first = next(csv.reader(file))[0]
        assert first.startswith("#")
