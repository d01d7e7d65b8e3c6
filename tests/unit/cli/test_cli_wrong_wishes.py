"""Wishes and data files that cannot be used: one sentence, exit code 1, nothing changed."""

from __future__ import annotations

import os
import sqlite3

import pytest

from tiny_season import contents

pytestmark = pytest.mark.usefixtures("rough")

PLAN = [
    (["nosuch"], ["no conditions are called 'nosuch'", "winter", "summer"]),
    (["winter", "--must", "nosuch"], ["no disc fits 'nosuch'", "rimwise discs"]),
    (["winter", "--must", "nh27"], ["fits 2 discs", "nh27-blue", "nh27-gold"]),
    (["winter", "--never", "nosuch"], ["no disc fits 'nosuch'"]),
    (
        ["winter", "--must", "nh27-blue", "--never", "nh27-blue"],
        ["nh27-blue cannot both go and stay", "--must or --never"],
    ),
    (
        ["winter", "--limit", "1", "--must", "nh27-blue", "--must", "nh27-gold"],
        ["2 discs must go", "limit is 1"],
    ),
    (["winter", "--limit", "0"], ["limit"]),
    (["winter", "--at-least", "putter:5"], ["at least 5 of putter", "only 2"]),
    (["winter", "--at-least", "roller:1"], ["'roller'", "fairway driver"]),
    (["winter", "--at-least", "putter"], ["putter:2", "'putter'"]),
    (["winter", "--price", "nan"], ["price"]),
    (["winter", "--price", "-1"], ["price"]),
    (["winter", "--course", "nosuch"], ["no course is called 'nosuch'"]),
    (["winter", "--keep", "summer"], ["nothing is planned for 'summer'"]),
]


@pytest.mark.parametrize(("words", "told"), PLAN, ids=lambda part: " ".join(part)[:40])
def test_a_plan_that_cannot_be_made(cli, unplanned, words, told):
    before = contents(unplanned)
    assert_refused(cli("--data", unplanned, "plan", *words), told)
    assert contents(unplanned) == before


def test_must_carry_a_disc_that_is_lost(cli, unplanned):
    assert cli("--data", unplanned, "discs", "--set", "nh27-blue", "status=lost").code == 0
    said = cli("--data", unplanned, "plan", "winter", "--must", "nh27-blue")
    assert_refused(said, ["nh27-blue is lost", "rimwise discs --set nh27-blue status=home"])


LATER = [
    (["why"], ["nothing is planned yet", "rimwise plan"]),
    (["pack"], ["nothing is planned yet"]),
    (["sheet"], ["nothing is planned yet"]),
    (["swap", "winter", "summer"], ["nothing is planned for 'winter'", "rimwise plan winter"]),
    (["swap", "winter", "winter"], ["named twice"]),
    (["fly", "nosuch"], ["no disc fits 'nosuch'"]),
    (["fly", "nh27-blue", "--style", "roller"], ["backhand or forehand", "'roller'"]),
    (["fly", "nh27-blue", "--hand", "both"], ["right or left", "'both'"]),
    (["fly", "nh27-blue", "--ground", "mud"], ["soft, firm, hard", "'mud'"]),
    (["fly", "nh27-blue", "--wind", "-3"], ["wind", "0 and 60 m/s", "-3"]),
    (["fly", "nh27-blue", "--launch", "200"], ["-90 and 90 degrees", "200"]),
    (["fly", "nh27-blue", "--spin", "5"], ["50 and 2800 turns a minute"]),
    (["fly", "nh27-blue", "--speed", "nan"], ["release speed", "finite number"]),
    (["fly", "nh27-blue", "--effort", "2"], ["effort", "0.3 and 1"]),
    (["fly", "nh27-blue", "--altitude", "99999"], ["altitude", "8000 m"]),
    (["fly", "nh27-blue", "--temperature", "999"], ["temperature", "60 °C"]),
    (["fly", "7/5/-1/2", "--speed", "fast"], ["--speed", "50mph", "'fast'"]),
    (["fly", "7/5/-1/2", "--wind", "breeze"], ["--wind", "'breeze'"]),
    (["fly", "7/5/-1/2", "--uphill", "a lot"], ["--uphill", "3m or 10ft", "'a lot'"]),
    (["fly", "7/5/-1/2", "--uphill", "900"], ["ground height", "-200 and 200 m", "900"]),
    (["fly", "7/5/-1/2", "--height", "70m"], ["release height", "0 and 50 m", "70"]),
    (["fly", "7/5/-1/2", "--wobble", "-4"], ["wobble", "0 and 34 degrees", "-4"]),
    (["fly", "7/5/-1/2", "--cloud", "3"], ["cloud", "10 and 10000", "3"]),
    (["fly", *["7/5/-1/2"] * 6], ["6 throws", "only 5"]),
    (["fly", "7/5/-1/2", "--hyzer", "nan", "--hyzer", "0"], ["hyzer", "finite number"]),
    (["fly", "7/5/x/2", "--speed", "20"], ["7/5/-1/2", "7/5/x/2"]),
    (["fly", "7/5/-1", "--speed", "20"], ["7/5/-1/2", "'7/5/-1'"]),
    (["fly", "40/5/-1/2", "--speed", "20"], ["speed", "1 and 15", "40"]),
    (["fly", "7/5/-1/2", "--speed", "20", "--weight", "900"], ["60 and 200 g", "900"]),
    (["discs", "--set", "nosuch", "status=lost"], ["no disc fits 'nosuch'"]),
    (["discs", "--set", "nh27-blue", "status=eaten"], ["status must be one of", "'eaten'"]),
    (["discs", "--set", "nh27-blue", "wear=2"], ["wear", "0 and 1"]),
    (["discs", "--set", "nh27-blue", "wear=old"], ["wear", "'old'"]),
    (["discs", "--set", "nh27-blue", "mold=x"], ["'mold=x'", "status=lost"]),
    (["discs", "--set", "nh27-blue", "status"], ["equals sign"]),
    (["assume", "--set", "nosuch", "1"], ["no assumption 'nosuch'", "rimwise assume"]),
    (["assume", "--set", "lost_disc_strokes", "-5"], ["lost_disc_strokes", "0 and 2"]),
    (["assume", "--set", "lost_disc_strokes", "nan"], ["lost_disc_strokes", "finite"]),
    (["init", "--hand", "both"], ["right or left", "'both'"]),
    (["init", "--level", "demigod"], ["level must be one of", "'demigod'"]),
    (["init", "--units", "yards"], ["'m' or 'ft'", "'yards'"]),
    (["init", "--fairway", "far"], ["--fairway", "90m or 300ft", "'far'"]),
    (["init", "--fairway", "0"], ["25 and 190 m"]),
    (["init", "--fairway", "900m"], ["25 and 190 m", "900"]),
]


@pytest.mark.parametrize(("words", "told"), LATER, ids=lambda part: " ".join(part)[:40])
def test_what_cannot_be_done_changes_nothing(cli, unplanned, words, told):
    before = contents(unplanned)
    assert_refused(cli("--data", unplanned, *words), told)
    assert contents(unplanned) == before


PLANNED = [
    (["why", "nosuch"], ["no disc fits 'nosuch'"]),
    (["why", "--for", "autumn"], ["nothing is planned for 'autumn'"]),
    (["pack", "--cart", "barrow"], ["no cart is called 'barrow'", "Light two-wheel cart"]),
    (["pack", "--slope", "80"], ["80"]),
    (["sheet", "--since", "autumn"], ["nothing is planned for 'autumn'"]),
]


@pytest.mark.parametrize(("words", "told"), PLANNED, ids=lambda part: " ".join(part)[:40])
def test_what_a_plan_does_not_answer(cli, season, words, told, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    before = contents(season)
    assert_refused(cli("--data", season, *words), told)
    assert contents(season) == before
    assert not list(tmp_path.glob("*.html"))


def test_a_disc_that_took_no_part(cli, season):
    cli("--data", season, "init", "--fairway", "90m")
    (season.parent / "new.csv").write_text(
        "disc,mold,speed,glide,turn,fade,plastic,weight\nx1,XX 1,7,5,-1,2,base,172\n"
    )
    assert cli("--data", season, "import", season.parent / "new.csv").code == 0
    assert_refused(cli("--data", season, "why", "x1"), ["x1 took no part", "rimwise plan"])


def test_swaps_with_a_disc_that_went_away(cli, season):
    cli("--data", season, "discs", "--set", "nh27-gold", "status=lost")
    cli("--data", season, "discs", "--set", "ol17-white", "status=lost")
    said = cli("--data", season, "swap", "winter", "summer")
    assert_refused(said, ["no longer available", "rimwise plan"])


def test_a_sheet_into_a_missing_folder(cli, season, tmp_path):
    out = tmp_path / "no" / "sheet.html"
    assert_refused(cli("--data", season, "sheet", "--out", out), [str(out), "cannot be written"])
    assert not out.parent.exists()


def test_a_sheet_over_a_folder_leaves_no_part_behind(cli, season, tmp_path):
    (tmp_path / "sheets").mkdir()
    said = cli("--data", season, "sheet", "--out", tmp_path / "sheets")
    assert_refused(said, ["cannot be written"])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["season.db", "sheets"]


# -- data files ----------------------------------------------------------------------------


def test_no_data_file_yet(cli, tmp_path):
    said = cli("--data", tmp_path / "none.db", "discs")
    assert_refused(said, ["no data file", "none.db", "rimwise init", "--data"])
    assert not list(tmp_path.iterdir())


def test_bare_numbers_without_a_data_file_need_a_speed(cli, tmp_path):
    said = cli("--data", tmp_path / "none.db", "fly", "7/5/-1/2")
    assert_refused(said, ["release speed", "--speed", "rimwise init"])


def test_a_folder_as_data_file(cli, tmp_path):
    for command in ("discs", "init"):
        assert_refused(cli("--data", tmp_path, command), ["is a folder"])


def test_a_data_file_that_is_no_database(cli, tmp_path):
    file = tmp_path / "diary.txt"
    file.write_text("Dear diary\n" * 100)
    for command in ("discs", "init"):
        assert_refused(cli("--data", file, command), ["diary.txt", "not a Rimwise data file"])
    assert file.read_text() == "Dear diary\n" * 100


def test_a_database_of_somebody_else(cli, tmp_path):
    file = tmp_path / "other.db"
    connection = sqlite3.connect(file)
    connection.execute("CREATE TABLE accounts (name)")
    connection.close()
    before = contents(file)
    assert_refused(cli("--data", file, "init"), ["other.db", "not one made by Rimwise"])
    assert contents(file) == before


def test_a_folder_that_cannot_be_made(cli, tmp_path):
    (tmp_path / "file").write_text("in the way")
    said = cli("--data", tmp_path / "file" / "deeper" / "my.db", "init")
    assert_refused(said, ["cannot be made", "--data"])
    assert (tmp_path / "file").read_text() == "in the way"


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0,
    reason="root may write into every folder, and elsewhere permissions work otherwise",
)
def test_a_folder_that_may_not_be_written(cli, tmp_path):
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o500)
    assert_refused(cli("--data", folder / "my.db", "init"), ["my.db"])
    assert not list(folder.iterdir())


def test_init_that_is_refused_makes_no_data_file(cli, tmp_path):
    for words in (("--hand", "both"), ("--units", "yards"), ("--fairway", "1m"), ("--level", "x")):
        assert cli("--data", tmp_path / "new" / "my.db", "init", *words).code == 1
    assert not list(tmp_path.iterdir())


def assert_refused(said, told):
    assert said.code == 1
    assert said.out == ""
    assert said.err.startswith("rimwise: ")
    assert said.err.endswith(".\n")
    assert said.err.count("\n") == 1
    assert not [words for words in told if words not in said.err]
