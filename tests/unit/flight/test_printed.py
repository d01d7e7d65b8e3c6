"""From printed numbers to coefficients and back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.flight.aero import Aero
from rimwise.flight.meaning import observe
from rimwise.flight.printed import (
    MAPPING,
    Printed,
    aero_arrays_from_printed,
    aero_from_printed,
    printed_from_aero,
)

number = st.tuples(st.floats(1, 15), st.floats(1, 7), st.floats(-5, 1), st.floats(0, 5))


@given(number)
def test_coefficients_give_the_numbers_back(numbers: tuple[float, float, float, float]) -> None:
    back = printed_from_aero(aero_from_printed(Printed(*numbers)))
    assert np.ravel(back) == pytest.approx(numbers, abs=1e-6)


@given(number, number)
def test_one_disc_and_arrays_agree(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> None:
    arrays = aero_arrays_from_printed(*np.array([one, other]).T)
    single = aero_from_printed(Printed(*other))
    for name in Aero.__dataclass_fields__:
        value = np.broadcast_to(np.asarray(getattr(arrays, name)), 2)[1]
        assert value == pytest.approx(getattr(single, name), rel=1e-12)
    back = np.array(printed_from_aero(arrays)).T
    assert back == pytest.approx(np.array([one, other]), abs=1e-6)


@given(number)
def test_the_mapping_is_smooth(numbers: tuple[float, float, float, float]) -> None:
    """A small change of any number changes no coefficient by more than a bounded rate."""
    start = _vector(aero_from_printed(Printed(*numbers)))
    for place in range(4):
        moved = list(numbers)
        moved[place] = min(max(moved[place] - 1e-4, (1, 1, -5, 0)[place]), (15, 7, 1, 5)[place])
        assert np.abs(_vector(aero_from_printed(Printed(*moved))) - start).max() < 1e-4


def _vector(aero: Aero) -> np.ndarray:
    return np.array(
        [
            getattr(aero, name)
            for name in ("cl0", "cd0", "cd_alpha", "alpha0_rad", "cm0", "cm_alpha")
        ]
    )


def test_each_number_moves_its_own_coefficient() -> None:
    """Speed the drag, glide the lift; turn and fade the moment where a disc flies fast and slow."""
    stock = aero_from_printed(Printed(7, 5, -1, 2))
    assert aero_from_printed(Printed(9, 5, -1, 2)).cd0 < stock.cd0
    assert aero_from_printed(Printed(7, 6, -1, 2)).cl0 > stock.cl0
    fast_rad, slow_rad = 0.02, 0.25
    turned = aero_from_printed(Printed(7, 5, -3, 2))
    assert turned.cm0 + turned.cm_alpha * fast_rad < stock.cm0 + stock.cm_alpha * fast_rad
    faded = aero_from_printed(Printed(7, 5, -1, 4))
    assert faded.cm0 + faded.cm_alpha * slow_rad > stock.cm0 + stock.cm_alpha * slow_rad


def test_speed_costs_drag_of_lift_only_on_a_disc_that_holds() -> None:
    turns, holds = (
        [aero_from_printed(Printed(speed, 5, *mix)).cd_alpha for speed in (7, 12)]
        for mix in ((-3, 1), (0, 4))
    )
    assert holds[1] / holds[0] > 1.2 > turns[1] / turns[0]
    assert holds[0] == pytest.approx(turns[0], rel=1e-3)  # at speed 7 the two are alike


def test_another_mapping_means_something_else() -> None:
    draggy = replace(MAPPING, cd0=2 * MAPPING.cd0)
    printed = Printed(7, 5, -1, 2)
    assert aero_from_printed(printed, mapping=draggy).cd0 == pytest.approx(
        2 * aero_from_printed(printed).cd0
    )
    near = observe(aero_from_printed(printed, mapping=draggy), 22.0)
    assert near.range_m[0] < observe(aero_from_printed(printed), 22.0).range_m[0]


def test_what_no_disc_is_has_no_numbers() -> None:
    stock = aero_from_printed(Printed(7, 5, -1, 2))
    with pytest.raises(InputError, match="cd0 must be above 0"):
        printed_from_aero(replace(stock, cd0=0.0))


def test_numbers_far_off_are_held_where_they_still_fly() -> None:
    held = aero_arrays_from_printed([40.0], [5.0], [-30.0], [9.0])
    ends = aero_arrays_from_printed([16.0], [5.0], [-7.0], [7.0])
    assert held.cm0 == pytest.approx(np.asarray(ends.cm0))
    with pytest.raises(InputError, match=r"printed\.turn must be between -100 and 100"):
        aero_arrays_from_printed([7.0], [5.0], [np.nan], [2.0])
