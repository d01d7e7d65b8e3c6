"""A million throws from all over the allowed domain fly, play on the ground and stay finite."""

from __future__ import annotations

import re
from dataclasses import fields
from typing import Any

import numpy as np
import pytest

from rimwise.errors import InputError
from rimwise.flight import _gather, _steps, kernel
from rimwise.flight import aero as aero_module
from rimwise.flight import body as body_module
from rimwise.flight import release as release_module
from rimwise.flight import wind as wind_module
from rimwise.flight.aero import Aero, AeroArrays
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.flights import Flights
from rimwise.flight.fly import STEP_S, fly, fly_many
from rimwise.flight.ground import GROUNDS
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind, WindArrays

THROWS, BATCH = 1_000_000, 8_000
#: Of throws that would stop within half a step, one in 500 is flown: they take long.
STIFF, STIFF_SHARE = 2.0, 0.002
SCENE = {
    "bearing_deg": _gather._BEARING_LIMIT,
    "ground_z_m": _gather._GROUND_LIMIT,
    "rim_width_m": (0.005, 0.04, "m"),
}


def drawn(rng: np.random.Generator, count: int, limit: tuple[float, float, str]) -> np.ndarray:
    """Values over a whole range: 6 % at its ends, and more than even near nothing.

    Even draws of twenty arguments at once are nearly all absurd; these have ordinary throws
    among them.
    """
    low, high, _unit = limit
    values = rng.uniform(low, high, count)
    kind = rng.random(count)
    least = min(max(0.0, low), high)
    near = kind < 0.6
    values[near] = least + (values[near] - least) * rng.random(near.sum()) ** 3
    values[kind > 0.97] = high
    values[(kind > 0.94) & (kind <= 0.97)] = low
    return values


def of_kind(kind: Any, rng: np.random.Generator, count: int, limits: dict[str, Any]) -> Any:
    return kind(**{field.name: drawn(rng, count, limits[field.name]) for field in fields(kind)})


def throws(rng: np.random.Generator, count: int) -> tuple[list[Any], dict[str, np.ndarray]]:
    """Every argument of :func:`fly_many` from all of its range, as struct of arrays."""
    release = of_kind(ReleaseArrays, rng, count, release_module.ARRAY_LIMITS)
    object.__setattr__(release, "side", np.where(rng.random(count) < 0.5, 1.0, -1.0))
    body = of_kind(BodyArrays, rng, count, body_module.BODY_LIMITS)
    hoop = body.mass_kg * body.diameter_m**2 / 4
    low, high, _unit = body_module.BODY_LIMITS["axial_inertia_kg_m2"]
    assert low < hoop.min() < hoop.max() < high  # any size and mass has moments of inertia
    possible = low + (hoop - low) * drawn(rng, count, (0.0, 1.0, ""))
    object.__setattr__(body, "axial_inertia_kg_m2", possible)
    parts = [
        of_kind(AeroArrays, rng, count, aero_module.AERO_LIMITS),
        body,
        release,
        drawn(rng, count, _gather._DENSITY_LIMIT),
        of_kind(WindArrays, rng, count, wind_module.ARRAY_LIMITS),
    ]
    return parts, {name: drawn(rng, count, limit) for name, limit in SCENE.items()}


def some(part: Any, rows: np.ndarray) -> Any:
    """Those rows of an array or of a struct of arrays."""
    if isinstance(part, np.ndarray):
        return part[rows]
    return type(part)(**{field.name: getattr(part, field.name)[rows] for field in fields(part)})


def batches(rng: np.random.Generator) -> tuple[list[tuple[Any, Any]], int]:
    """Throws to be flown together, and how many were too stiff to be flown at all.

    Those that may gain speed without end, in much wind and with little drag, stand apart.
    """
    parts, scene = throws(rng, BATCH)
    columns = _gather.gather(*parts, scene["bearing_deg"], scene["ground_z_m"])
    rates = _steps._rates_per_s(columns, _steps._largest_coefficient(columns))
    fit = rates * STEP_S <= _steps.MOST_PER_STEP
    kept = fit & ((rates * STEP_S <= STIFF) | (rng.random(BATCH) < STIFF_SHARE))
    risky = (columns["cd0"] < 0.05) & (np.hypot(parts[4].east_m_s, parts[4].north_m_s) > 10.0)
    sets = [np.flatnonzero(kept & risky), np.flatnonzero(kept & ~risky)]
    together = [
        ([some(part, rows) for part in parts], {name: part[rows] for name, part in scene.items()})
        for rows in sets
    ]
    return together, int(np.count_nonzero(~fit))


def flown(parts: Any, scene: Any, **how: Any) -> tuple[Flights, ReleaseArrays, int]:
    """Fly what is not refused; return it, its releases, and how many were refused."""
    refused = 0
    while True:
        try:
            return fly_many(*parts, **scene, **how), parts[2], refused
        except InputError as error:
            runaway = re.search(r"at position (\d+) gains speed without end", str(error))
            if runaway is None:
                raise
            rows = np.delete(np.arange(len(parts[3])), int(runaway[1]))
            parts = [some(part, rows) for part in parts]
            scene = {name: part[rows] for name, part in scene.items()}
            refused += 1


def test_a_million_throws_over_the_whole_domain_stay_finite(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Every argument over all of its range, corners included; no number is ever absurd.

    Of forty batches, one flies for a minute and the others for three seconds: what needs the
    shortest steps takes very long.
    """
    done = refused = batch = 0
    while done < THROWS:
        monkeypatch.setattr(kernel, "TIME_CAP_S", 3.0 if batch % 40 else 60.0)
        together, no = batches(np.random.default_rng([12, batch]))
        refused, batch = refused + no, batch + 1
        for parts, scene in together:
            flights, release, no = flown(
                parts, scene, ground=list(GROUNDS)[batch % len(GROUNDS)],
                path_points=3 if batch % 5 == 0 else 0,
            )  # fmt: skip
            done, refused = done + len(flights), refused + no
            check_numbers(flights, release)
    assert refused < 0.01 * batch * BATCH


def check_numbers(flights: Flights, release: ReleaseArrays) -> None:
    for field in fields(flights):
        assert np.isfinite(np.asarray(getattr(flights, field.name), dtype=float)).all(), field
    assert np.abs(np.linalg.norm(flights.landing_axis, axis=1) - 1.0).max() < 1e-6
    assert np.linalg.norm(flights.landing_velocity_m_s, axis=1).max() < _steps.FASTEST_M_S
    assert (flights.landing_spin_rad_s <= np.asarray(release.spin_rad_s) * (1.0 + 1e-6)).all()
    assert (flights.apex_m >= np.asarray(release.height_m) - 1e-5).all()
    assert (flights.landed | (flights.hang_s >= kernel.TIME_CAP_S)).all()
    assert (flights.leftmost_m >= flights.rightmost_m).all()
    assert np.array_equal(flights.rest_m[:, 2], flights.landing_m[:, 2])


FEATHER = Body(0.05, 0.35, 0.001, 0.0006)
DRAGGY = Aero(0.5, 6.0, 1.0, 5.0, 0.0, 0.02, 0.1)


def test_a_feather_flies_where_shorter_steps_lead() -> None:
    """What would stop within a step or less finds its own steps; no landing is far off."""
    throw = Release(40.0, 100.0, 0.2, 0.1, 0.1)
    ends = [
        fly_many(DRAGGY, FEATHER, throw, 1.2, step_s=step).landing_m[0]
        for step in (STEP_S, STEP_S / 4, STEP_S / 8)
    ]
    columns = _gather.gather(DRAGGY, FEATHER, throw, 1.2, None, 0.0, 0.0)
    assert _steps._rates_per_s(columns, _steps._largest_coefficient(columns))[0] * STEP_S > 8.0
    assert ends[0] == pytest.approx(ends[2], abs=0.1)
    assert ends[1] == pytest.approx(ends[2], abs=0.1)


def test_mixed_batches_give_each_flight_what_it_gets_alone() -> None:
    speeds = np.array([40.0, 8.0, 30.0, 5.0, 45.0])
    together = fly_many(
        DRAGGY, FEATHER, ReleaseArrays(speeds, 100.0, 0.2, 0.1, 0.1), 1.2, path_points=5
    )
    for k, speed in enumerate(speeds):
        alone = fly_many(DRAGGY, FEATHER, Release(speed, 100.0, 0.2, 0.1, 0.1), 1.2, path_points=5)
        assert alone.landing_m[0].tobytes() == together.landing_m[k].tobytes()
        assert alone.path_m[0].tobytes() == together.path_m[k].tobytes()


def test_what_would_stop_at_once_is_refused() -> None:
    wall = Aero(2.0, 8.0, 2.0, 10.0, 0.5, 0.0, 0.0)
    with pytest.raises(InputError, match=r"must leave a disc its speed and spin for at least"):
        fly(wall, FEATHER, Release(50.0, 100.0, 0.1, 0.0, 0.0), 2.0)  # type: ignore[arg-type]
    brake = Aero(0.1, 2.0, 0.1, 1.0, 0.0, 0.0, 0.0, cn_r=-1.0)
    with pytest.raises(InputError, match=r"at position 1 would lose them within"):
        fly_many(
            brake, BodyArrays(0.1, 0.35, np.array([3e-3, 1e-4])),
            Release(50.0, 100.0, 0.1, 0.0, 0.0), 1.2, Wind(60.0, 0.0),
        )  # fmt: skip


def ended(**numbers: float) -> np.ndarray:
    """One flight's row of the kernel's results, 0 where nothing else is said."""
    return np.array([[numbers.get(name, 0.0) for name in kernel.OUTPUTS]])


def test_soaring_without_drag_is_refused() -> None:
    """A wing without drag takes speed out of a wind profile, round after round."""
    _steps.refuse_runaways(ended())
    wing = Aero(0.1794, 7.0665, 0.0, 0.0, -0.0931, 0.4953, -1.1515, cm_q=-3.0, cl_p=-5.0)
    with pytest.raises(InputError, match=r"^aero\.cd0 must be large enough"):
        _steps.refuse_runaways(ended(x_m=np.nan))
    with pytest.raises(InputError, match="position 8 gains speed without end"):
        _steps.refuse_runaways(np.vstack([ended(), ended(vx_m_s=300.0, vy_m_s=300.0)]), first=7)
    with pytest.raises(InputError, match="position 0 gains speed without end"):
        _steps.refuse_runaways(ended(spin_rad_s=302.0))
    still = fly(wing, Body(0.2, 0.21, 0.0015, 0.0008), Release(16.0, 250.0, 0.1, 0.0, 0.0), 0.5)  # type: ignore[arg-type]
    assert np.isfinite(still.landing_m).all()


def test_wind_too_strong_at_ten_metres_is_refused() -> None:
    with pytest.raises(InputError, match=r"^wind\.speed_m_s must not mean more than 60 m/s at 10"):
        Wind(50.0, 0.0, height_m=2.0)
    assert Wind(60.0, 0.0, roughness_m=2.0).vector_10m_m_s[1] == pytest.approx(-60.0)
