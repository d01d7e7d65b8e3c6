"""Every published value is used or refused; and the checks that belong nowhere else."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import numpy as np
import pytest
from authority_register import LABELS, REGISTER, Claim, as_markdown
from authority_tables import AUTHORITIES, coefficient_sets, read_table
from test_discs_in_flight import (
    CATCH_DISC,
    CATCH_THROW,
    limits,
    wind_tunnel_curves,
)

from rimwise.beliefs.arm import LEVEL_SCATTER, spin_for_speed
from rimwise.flight import body as body_module
from rimwise.flight.body import BODY_LIMITS, Body
from rimwise.flight.domain import DOMAIN
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.records.thrower import Level

ROOT = Path(__file__).parents[3]
TESTS = ROOT / "tests"
TABLES = sorted(path.stem for path in AUTHORITIES.glob("*.csv"))


# -- nothing is left lying -------------------------------------------------------------------


def naming_column(table: str) -> str:
    """The column whose value names a row."""
    label = LABELS[table][0]
    return next(iter(read_table(f"{table}.csv")[0])) if label == "status" else label


def claimed(claim: Claim, row: dict[str, str], column: str) -> bool:
    return (not claim.rows or row[naming_column(claim.table)] in claim.rows) and (
        not claim.columns or column in claim.columns
    )


@pytest.mark.parametrize("table", TABLES)
def test_every_published_value_is_used_or_refused(table: str) -> None:
    claims = [claim for claim in REGISTER if claim.table == table]
    unclaimed = {
        (row[naming_column(table)], column)
        for row in read_table(f"{table}.csv")
        for column in row
        if column not in LABELS[table] and not any(claimed(c, row, column) for c in claims)
    }
    assert not unclaimed


def test_register_speaks_of_what_there_is() -> None:
    """Tables, rows, columns and tests exist; each claim is either used or refused."""
    assert {claim.table for claim in REGISTER} == set(TABLES) == set(LABELS)
    for claim in REGISTER:
        rows = read_table(f"{claim.table}.csv")
        assert set(claim.rows) <= {row[naming_column(claim.table)] for row in rows}
        assert set(claim.columns) <= set(rows[0])
        assert bool(claim.used_by) != bool(claim.refused)
        for name in claim.used_by:
            path, _, function = name.partition("::")
            tree = ast.parse((TESTS / path).read_text("utf-8"))
            assert function in {n.name for n in tree.body if isinstance(n, ast.FunctionDef)}, name


def test_register_is_the_table_of_the_page() -> None:
    """Paste what ``python tests/validation/flight/authority_register.py`` prints."""
    assert as_markdown() in (ROOT / "docs" / "validation.md").read_text("utf-8")


def test_every_table_says_where_it_comes_from() -> None:
    for table in TABLES:
        first = (AUTHORITIES / f"{table}.csv").read_text("utf-8").splitlines()[0]
        assert first.startswith("# ")
        assert len(first) > 60


def test_map_tags_are_those_of_the_course_tests() -> None:
    """The tests that the register names write these very tags."""
    text = (TESTS / "unit/course/test_osm.py").read_text("utf-8")
    text += (TESTS / "unit/course/osm_text.py").read_text("utf-8")
    for row in read_table("openstreetmap_tags.csv"):
        for tag in row["tag"].split(", "):
            key, value = tag.split("=")
            assert f'{key}="{value}"' in text or f'"{key}": "{value}"' in text, tag


# -- how well catch discs are known ----------------------------------------------------------

ALPHA_RAD = np.radians(np.linspace(-10.0, 25.0, 71))
#: Root mean square distance of CL, CD and CM from the tunnel table over −10° to 25°.
#: Our own arithmetic on published numbers, to two digits; docs/validation.md says what of it.
APART = {
    "hummel_hubbard_2002": (0.032, 0.014, 0.014),
    "crowther_potts_2007": (0.059, 0.035, 0.022),
    "hummel_2003_short": (0.18, 0.13, 0.060),
}


@pytest.mark.parametrize("name", sorted(APART))
def test_published_curves_differ_as_far_as_stated(name: str) -> None:
    """Sets made from tunnel data follow the table; the one from flights does not."""
    tunnel = np.array([wind_tunnel_curves()(alpha) for alpha in ALPHA_RAD])
    curves = np.array([coefficient_sets()[name].curves(alpha) for alpha in ALPHA_RAD])
    apart = np.sqrt(np.mean((curves - tunnel) ** 2, axis=0))
    assert apart == pytest.approx(APART[name], rel=0.05)


def test_published_sets_share_trim_and_best_glide() -> None:
    """What the sets do agree on: trim at 9–11° and a best lift over drag of 2.7 to 3.2.

    Potts and Crowther (2002): trim at 9°, best ratio about 3.
    """
    for aero in coefficient_sets().values():
        assert 8.5 < math.degrees(-aero.cm0 / aero.cm_alpha) < 11.0
        glide = max(aero.curves(alpha)[0] / aero.curves(alpha)[1] for alpha in ALPHA_RAD)
        assert 2.7 < glide < 3.2
    tunnel = wind_tunnel_curves()
    assert max(tunnel(a)[0] / tunnel(a)[1] for a in ALPHA_RAD) == pytest.approx(3.0, abs=0.1)


def test_published_sets_fly_as_differently_as_stated() -> None:
    """One launch, four published descriptions of one kind of disc: 16 to 27 m, 1 to 5 m left."""
    sets = {name: (aero.curves, Damping.of(aero)) for name, aero in coefficient_sets().items()}
    sets["table"] = (
        wind_tunnel_curves(),
        Damping(cm_q_s=-1.44e-2, cl_p_s=-1.25e-2, cn_r_n_m_s=-3.41e-5),
    )
    ends = {
        name: fly_reference(curves, damping, CATCH_DISC, CATCH_THROW, Surroundings(1.23), points=2)
        for name, (curves, damping) in sets.items()
    }
    ranges = [flight.position_m[-1, 0] for flight in ends.values()]
    asides = [abs(flight.position_m[-1, 1]) for flight in ends.values()]
    assert (min(ranges), max(ranges)) == pytest.approx((15.6, 27.2), abs=0.2)
    assert (min(asides), max(asides)) == pytest.approx((1.0, 5.2), abs=0.2)


# -- shapes, terrain, releases ----------------------------------------------------------------

CLASS_SPEEDS = (2, 5, 7, 10, 13)  # one printed speed for each class of rims


@pytest.mark.parametrize("k", range(5))
def test_assumed_shape_lies_among_the_measured_ones(k: int) -> None:
    """Between the 10th and 90th percentile of 1,260 approved discs' classes.

    The rim's height is between its depth with a plate, and the whole height, which has the
    dome in it. Inside diameters are those of a disc of the class's middle diameter.
    """
    row = read_table("disc_dimensions.csv")[k]
    least, middle, most = percentiles(row["diameter_cm"])
    assert least <= 100 * body_module.DEFAULT_DIAMETER_M <= most
    plate_cm = 100 * body_module.DEFAULT_PLATE_THICKNESS_M
    height_cm = 100 * body_module.DEFAULT_RIM_HEIGHT_M
    if row["rim_depth_cm"]:
        assert percentiles(row["rim_depth_cm"])[0] + plate_cm <= height_cm
    assert height_cm <= percentiles(row["height_cm"])[2]
    inside = middle - 200 * body_module.rim_width_from_printed_speed_m(CLASS_SPEEDS[k])
    narrow, _, wide = percentiles(row["inside_rim_diameter_cm"])
    assert narrow <= inside <= wide


def percentiles(cell: str) -> list[float]:
    return [float(part) for part in cell.split("/")]


def test_height_of_the_rim_matters_little() -> None:
    """Why one height does for all: 12 to 20 mm move the axial inertia by 5 % at most."""
    for rim_m in (0.0095, 0.017, 0.026):
        low, usual, tall = (
            Body.from_dimensions(0.175, 0.212, rim_m, height).axial_inertia_kg_m2
            for height in (0.012, 0.016, 0.020)
        )
        assert max(abs(low - usual), abs(tall - usual)) < 0.051 * usual


def test_assumed_shape_meets_the_other_technical_standards() -> None:
    """Governing body's disc technical standards (secondary copy)."""
    limit = limits()
    assert limit["weight maximum"] / 1000 <= BODY_LIMITS["mass_kg"][1]
    plate_cm = 100 * body_module.DEFAULT_PLATE_THICKNESS_M
    depth_cm = 100 * body_module.DEFAULT_RIM_HEIGHT_M - plate_cm
    share = 100 * depth_cm / (100 * body_module.DEFAULT_DIAMETER_M)
    assert plate_cm <= limit["flight plate thickness maximum"]
    assert depth_cm >= limit["rim depth minimum"]
    assert limit["rim depth to diameter minimum"] <= share
    assert share <= limit["rim depth to diameter maximum"]


def test_rough_terrain_is_doubted_where_the_standard_has_no_profile() -> None:
    """EN 1991-1-4 Table 4.1: where its profile begins above 2 m, a throw has none."""
    doubted = next(limit for limit in DOMAIN if limit.code == "rough_terrain")
    rows = [row for row in read_table("terrain_roughness.csv") if row["zmin_m"]]
    assert len(rows) == 5
    for row in rows:
        in_doubt = not doubted.holds(np.array(float(row["z0_m"])))
        assert in_doubt == (float(row["zmin_m"]) > 2.0)


@pytest.mark.parametrize("row", read_table("release_defaults.csv"), ids=lambda r: r["level"])
def test_default_releases_are_the_assumed_ones(row: dict[str, str]) -> None:
    """Speeds and spins kept as memory: no target, but what we say we assume.

    Spin at advance ratios of 0.40 and 0.50, rounded to 20 a minute; and no speed of an
    ordinary thrower is outside the model's domain.
    """
    speeds = next(limit for limit in DOMAIN if limit.code == "release_speed")
    spins = row["spin_rpm"].split("-")
    for speed, spin, ratio in zip(
        row["backhand_speed_m_s"].split("-"), spins, (0.4, 0.5), strict=True
    ):
        per_minute = spin_for_speed(float(speed), ratio) * 60 / (2 * math.pi)
        assert per_minute == pytest.approx(float(spin), abs=10.0)
        assert speeds.holds(np.array(float(speed)))


@pytest.mark.parametrize("row", read_table("release_defaults.csv"), ids=lambda r: r["level"])
def test_default_scatter_is_the_assumed_one(row: dict[str, str]) -> None:
    scatter = LEVEL_SCATTER[Level(row["level"])]
    assert scatter.speed_fraction == float(row["sd_speed_fraction"])
    for name in ("launch_deg", "hyzer_deg", "nose_deg", "heading_deg"):
        assert getattr(scatter, name) == float(row[f"sd_{name}"])
