"""The file for the phone from a planned carry: every hole, wind and lie is answered."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from rimwise.app import phone
from rimwise.app.phone import phone_file
from rimwise.app.phone_keeping import write_phone
from rimwise.app.reports import load_plan
from rimwise.errors import InputError, NotFoundError
from rimwise.pictures.phone_scene import PhoneFile, PhoneWind
from rimwise.records.weather_words import weather_in
from rimwise.store.opening import open_store

TODAY = date(2026, 11, 26)


def few(patch: pytest.MonkeyPatch) -> None:
    """Leave out most winds and lies: what is told does not depend on how many there are."""
    patch.setattr(phone, "SPEEDS_M_S", (0.0, 6.0))
    patch.setattr(phone, "SIDES_DEG", (0.0, 225.0))
    patch.setattr(phone, "_STEP_M", 35.0)


@pytest.fixture(scope="module")
def made(_seasons: Path) -> tuple[PhoneFile, list[tuple[str, float]]]:
    said: list[tuple[str, float]] = []
    with pytest.MonkeyPatch.context() as patch, open_store(_seasons / "tiny.db") as store:
        few(patch)
        file = phone_file(
            store, "winter", today=TODAY, progress=lambda what, share: said.append((what, share))
        )
    return file, said


def test_every_hole_is_answered_in_every_wind_from_every_lie(made) -> None:
    file, _ = made
    assert [hole.ref for hole in file.holes] == ["1", "2"]
    assert [(wind.strength, wind.from_deg) for wind in file.winds] == [
        (0, 0.0), (1, 0.0), (1, 225.0),
    ]  # fmt: skip
    for hole in file.holes:
        assert (hole.lies[0].x_m, hole.lies[0].y_m) == (0.0, 0.0)
        rows = int((hole.length_m - 12.0) // 35.0)
        assert len(hole.lies) == 1 + 3 * rows
        assert len(hole.answers) == 3
        for wind, told in zip(hole.answers, hole.told, strict=True):
            assert len(wind) == len(hole.lies)
            assert all(answer.throws or answer.putt is not None for answer in wind)
            assert 1 <= len(wind[0].throws) <= 3
            assert len(told) == len(wind[0].throws)


def test_only_carried_discs_are_thrown_and_numbers_are_sound(made, season: Path) -> None:
    file, _ = made
    with open_store(season) as store:
        assert {disc.id for disc in file.discs} == set(load_plan(store, "winter").chosen)
    throws = [
        throw
        for hole in file.holes
        for wind in hole.answers
        for answer in wind
        for throw in answer.throws
    ]
    assert len(throws) > 20
    for throw in throws:
        assert 0 <= throw.disc < len(file.discs)
        assert 1.0 < throw.strokes < 6.0
        assert throw.water <= throw.penalty <= 1.0
        assert throw.dots_m
    # From nearer it takes fewer strokes.
    for hole in file.holes:
        for wind in hole.answers:
            nearer = [a.throws[0].strokes for a in wind[1:] if a.throws]
            assert min(nearer) < wind[0].throws[0].strokes


def test_the_wind_foreseen_the_day_and_the_air_are_those_of_the_plan(made) -> None:
    file, _ = made
    assert file.day == "raw"
    assert file.expected == 1  # 6 m/s; from ahead, because the course has no bearings
    assert file.foreseen == "moderate breeze 6 m/s"
    assert any("from where the wind comes there" in text for text in file.about)
    for air in (file.air, f"{file.air} wind 6.0m/s from ahead and the left"):
        noted = weather_in(air)
        assert (noted.temperature_c, noted.wet, str(noted.ground)) == (3.0, True, "wet")
    assert file.made_on == "2026-11-26"
    assert any("6 m/s" in text for text in file.about)


@pytest.mark.parametrize(
    ("speed", "from_deg", "found"),
    [
        (1.2, 90.0, (0.0, 0.0)),
        (2.0, 350.0, (3.0, 0.0)),
        (6.2, 310.0, (6.0, 315.0)),
        (14.0, 158.0, (9.0, 180.0)),
    ],
)
def test_the_nearest_wind_is_expected(
    season: Path, speed: float, from_deg: float, found: tuple[float, float]
) -> None:
    with open_store(season) as store:
        (day,) = store.conditions.get("winter").days
    winds = tuple(
        PhoneWind(n, side, v, "")
        for n, v in enumerate(phone.SPEEDS_M_S)
        for side in (phone.SIDES_DEG if v else (0.0,))
    )
    blowing = replace(day, wind_speed_m_s=speed, wind_from_deg=from_deg)
    near = winds[phone._nearest(blowing, winds, bearings=True)]
    assert (near.speed_m_s, near.from_deg) == found


def test_wind_changes_what_is_told(made) -> None:
    file, _ = made
    first = [wind[0].throws[0] for wind in file.holes[1].answers]
    assert len({(throw.short_m, throw.left_m, throw.turn_rad) for throw in first}) == 3


def test_progress_goes_on_to_the_end(made) -> None:
    _, said = made
    shares = [share for _, share in said]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert any("hole 2" in what for what, _ in said)


class _StoppedError(Exception):
    pass


def test_stopping_stops(season: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    few(monkeypatch)

    def stop(what: str, _share: float) -> None:
        if "flying" in what:
            raise _StoppedError

    with open_store(season) as store, pytest.raises(_StoppedError):
        phone_file(store, "winter", today=TODAY, progress=stop)


def test_without_a_plan_or_such_a_day_it_says_so(season: Path, unplanned: Path) -> None:
    with open_store(unplanned) as store, pytest.raises(NotFoundError):
        phone_file(store, "winter", today=TODAY)
    with open_store(season) as store, pytest.raises(InputError, match="no day like 'snow'"):
        phone_file(store, "winter", day="snow", today=TODAY)


def test_the_command_writes_it(season: Path, tmp_path: Path, cli, monkeypatch, made) -> None:
    monkeypatch.setattr(phone, "phone_file", lambda *_args, **_rest: made[0])
    done = cli("--data", season, "sheet", "winter", "--phone", tmp_path / "phone.html")
    assert done.code == 0, done.err
    assert "It has 0.1 MB." in done.out
    text = (tmp_path / "phone.html").read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "Hole 2" in text


def test_a_missing_folder_is_said(season: Path, tmp_path: Path, monkeypatch, made) -> None:
    monkeypatch.setattr(phone, "phone_file", lambda *_args, **_rest: made[0])
    with open_store(season) as store, pytest.raises(Exception, match="cannot be written"):
        write_phone(store, tmp_path / "no" / "phone.html", today=TODAY)


def test_every_wind_is_searched_or_lies_near_winds_that_are() -> None:
    winds = [
        (speed, side)
        for speed in phone.SPEEDS_M_S
        for side in (phone.SIDES_DEG if speed else (0.0,))
    ]
    assert len(winds) == 25
    for wind in winds:
        for speed, side in phone.winds_near(*wind):
            assert (speed, side) in winds
            assert not phone.winds_near(speed, side)
            assert speed == 0.0 or abs(math.remainder(side - wind[1], 360.0)) <= 45.0
