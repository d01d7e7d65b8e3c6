"""Contours lie where the level is, close on themselves, and miss nothing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.decide.contours import contour_lines


def test_a_cone_has_a_circle() -> None:
    i, j = np.indices((41, 41))
    (line,) = contour_lines(np.hypot(i - 20.0, j - 20.0), 10.0)
    away = np.hypot(line[:, 0] - 20.0, line[:, 1] - 20.0)
    assert np.abs(away - 10.0).max() < 0.02
    assert (line[0] == line[-1]).all()
    length = np.hypot(*np.diff(line, axis=0).T).sum()
    assert length == pytest.approx(2.0 * np.pi * 10.0, rel=0.01)


def test_a_plane_has_one_open_line() -> None:
    _, j = np.indices((5, 9))
    (line,) = contour_lines(j.astype(float), 3.25)
    assert line[:, 0] == pytest.approx(3.25)
    assert sorted(line[:, 1]) == pytest.approx([0.0, 1.0, 2.0, 3.0, 4.0])


def test_two_hills_have_two_lines_and_none_above_them() -> None:
    i, j = np.indices((20, 40))
    hills = [np.exp(-((i - 10.0) ** 2 + (j - at) ** 2) / 8.0) for at in (10.0, 30.0)]
    assert len(contour_lines(hills[0] + hills[1], 0.5)) == 2
    assert contour_lines(hills[0] + hills[1], 2.0) == []


def test_a_saddle_is_cut_by_its_mean() -> None:
    lines = contour_lines(np.array([[1.0, 0.0], [0.0, 1.0]]), 0.4)
    assert len(lines) == 2  # the middle is above: the low corners are cut off
    corners = {tuple(np.round(line.mean(axis=0)).astype(int).tolist()) for line in lines}
    assert corners == {(1, 0), (0, 1)}


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.1, 0.9))
def test_every_crossed_edge_is_passed_once(seed: int, level: float) -> None:
    values = np.random.default_rng(seed).random((7, 9))
    above = values > level
    crossed = int((above[:, 1:] != above[:, :-1]).sum() + (above[1:] != above[:-1]).sum())
    lines = contour_lines(values, level)
    passed = sum(len(line) - int((line[0] == line[-1]).all()) for line in lines)
    assert passed == crossed
