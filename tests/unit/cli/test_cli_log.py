"""The log as its user meets it: one line in, one sentence back, and bad input refused."""

from __future__ import annotations

import json
import re
import shlex
from datetime import date, timedelta
from pathlib import Path

import pytest

from rimwise.app.bring import bring_many
from rimwise.app.wearing import recorded_in
from rimwise.cli import noting
from rimwise.records.throw_words import throw_in
from rimwise.store.opening import open_store
from tiny_season import DEMO, contents

PAGE = (Path(__file__).parents[3] / "docs" / "evidence.md").read_text("utf-8")

LINES = {
    "throw": ["throw", "nh27 blue", "64m", "5L", "bh", "flat", "80%"],
    "from the basket": [
        *("throw", "nh27-blue", "12m left of the basket,", "25m", "to", "go", "--length", "84m"),
        *("--conditions", "4C wet wind 5 from left", "--ground", "wet", "--on", "2026-05-01"),
    ],
    "on the map": [
        *("throw", "nh27-blue", "--tee", "54.0,8.0", "--rest", "54.0006,8.0"),
        *("--aim", "54.001,8.0", "--note", "into the gorse"),
    ],
    "compare": ["compare", "nh27-blue", ">>", "nh27-gold", "reach"],
    "grip": ["grip", "nh27-gold", "cold-wet", "2"],
    "wear": ["wear", "nh27-gold", "worn"],
    "knock": ["knock", "nh27-gold", "a", "gate", "--light"],
    "putts": ["putts", "6m", "13/20", "8m", "9/20"],
    "round": ["round", "course", "3", "-", "--conditions", "raw"],
}


@pytest.mark.parametrize("words", LINES.values(), ids=LINES)
def test_a_line_is_kept_and_said_back(cli, unplanned, words):
    said = cli("--data", unplanned, "log", *words)
    assert (said.code, said.err) == (0, "")
    assert " kept, 20" in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80
    listed = json.loads(cli("--data", unplanned, "log", "list", "--json").out)
    assert len(listed) == (2 if words[0] == "putts" else 1)


def test_map_points_along_a_meridian(cli, unplanned):
    """A degree of latitude at 54° is 111.3 km (WGS 84), so 0.0006° are 66.8 m."""
    cli("--data", unplanned, "log", *LINES["on the map"])
    with open_store(unplanned) as store:
        (throw,) = recorded_in(store).throws
    assert throw.distance_m == pytest.approx(66.8, abs=0.05)
    assert throw.left_m == pytest.approx(0.0, abs=1e-6)
    assert (throw.note, throw.on) == ("into the gorse", date.today())


TOMORROW = str(date.today() + timedelta(days=1))
BAD = {
    "too far": (["throw", "nh27-blue", "900m", "5mL"], "between -50 and 300 m, but is 900 m"),
    "wrong unit": (["throw", "nh27-blue", "210m", "5mL"], "check the unit"),
    "no unit": (["throw", "nh27-blue", "64", "5L"], "64 without a unit; write 64m or 64ft"),
    "mixed units": (["throw", "nh27-blue", "64m", "9ftL", "touch", "9"], "mixes units"),
    "no side": (["throw", "nh27-blue", "64m"], "needs the side too"),
    "one disc": (["compare", "nh27-blue", ">", "nh27 blue"], "two discs, but both are nh27-blue"),
    "no disc": (["grip", "nh27-bleu", "hot", "3"], "did you mean nh27-blue"),
    "two discs": (["wear", "nh27", "new"], "fits 2 discs: nh27-blue, nh27-gold"),
    "future": (["knock", "nh27-blue", "--on", TOMORROW], "is in the future"),
    "made too many": (["putts", "6m", "21/20"], "between 0 and the 20 tried, but are 21"),
    "holes": (["round", "course", "3"], "course has 2 holes, but 1 scores are given"),
    "course": (["round", "curse", "3", "3"], "did you mean 'course'"),
    "point": (["throw", "nh27-blue", "--rest", "54"], "--rest must be latitude and longitude"),
    "no id": (["delete", "12"], "'12' is no evidence"),
    "no such id": (["edit", "t7", "66m"], "no throw t7 on file"),
}


@pytest.mark.parametrize(("words", "told"), BAD.values(), ids=BAD)
def test_bad_input_is_one_sentence_and_changes_nothing(cli, unplanned, words, told):
    before = contents(unplanned)
    said = cli("--data", unplanned, "log", *words)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("rimwise: ")
    assert told in said.err
    assert said.err.count("\n") == 1
    assert contents(unplanned) == before


def test_a_mistake_is_corrected_deleted_and_brought_back(cli, unplanned):
    cli("--data", unplanned, "log", *LINES["throw"])
    edited = cli("--data", unplanned, "log", "edit", "t1", "66m", "--note", "paced")
    assert "t1 edited" in edited.out
    assert "before: " in edited.out
    history = cli("--data", unplanned, "log", "list", "throw", "--history")
    assert "66 m, 5 m left" in history.out
    assert "nh27-blue 64 m" in history.out
    assert "brings it back" in cli("--data", unplanned, "log", "delete", "t1").out
    assert "Nothing noted yet" in cli("--data", unplanned, "log", "list").out
    assert "66 m" in cli("--data", unplanned, "log", "list", "--deleted").out
    again = json.loads(cli("--data", unplanned, "log", "undelete", "t1", "--json").out)
    assert [(one["id"], one["action"]) for one in again] == [("t1", "restored")]
    assert "(changed)" in cli("--data", unplanned, "log", "list").out


def test_a_long_list_shows_the_latest_and_says_so(cli, unplanned, monkeypatch):
    monkeypatch.setattr(noting, "MOST_LISTED", 2)
    days = ["2026-05-01", "2026-05-02", "2026-05-03"]
    for on in days:
        cli("--data", unplanned, "log", *LINES["throw"], "--on", on)
    short = cli("--data", unplanned, "log", "list").out
    assert [on in short for on in days] == [False, True, True]
    assert "These are the latest 2 of 3." in " ".join(short.split())
    for long in (("--all",), ("throw", "--json"), ("--since", days[1])):
        listed = cli("--data", unplanned, "log", "list", *long).out
        assert days[2] in listed
        assert (days[0] in listed) == (long[0] != "--since")
        assert "These are the latest" not in listed


def test_feet_are_said_back_to_those_who_think_in_feet(cli, unplanned):
    cli("--data", unplanned, "init", "--units", "ft")
    said = cli("--data", unplanned, "log", "throw", "nh27-blue", "210ft", "15L")
    assert "nh27-blue 210 ft, 15 ft left" in said.out


def test_a_retired_disc_needs_a_day_or_anyway(cli, unplanned):
    cli("--data", unplanned, "discs", "--set", "nh27-blue", "status=retired")
    said = cli("--data", unplanned, "log", *LINES["throw"])
    assert said.code == 1
    assert "is retired since" in said.err
    for words in (["--on", "2026-05-01"], ["--anyway"]):
        assert cli("--data", unplanned, "log", *LINES["throw"], *words).code == 0


def test_a_table_comes_in_once(cli, unplanned, tmp_path):
    path = tmp_path / "mine.csv"
    path.write_text(
        "date;disc;throw;weather\n2026-05-01;NH 27 blue;64m 5L 80%;4C wet\n", encoding="utf-8"
    )
    assert "1 new throw from mine.csv." in cli("--data", unplanned, "import", path).out
    again = cli("--data", unplanned, "import", path)
    assert "0 new throws from mine.csv." in again.out
    assert "1 throw on file already." in again.out


def test_the_lines_on_the_page_do_what_it_says(cli, tmp_path):
    data = tmp_path / "demo.db"
    names = ("discs.csv", "plastics.csv", "course.osm", "winter.csv", "thrower.json")
    with open_store(data) as store:
        bring_many(store, [DEMO / name for name in names])
    block = re.search(r"```console\n(rimwise log throw.*?)```", PAGE, re.DOTALL)
    lines = block[1].splitlines()
    assert len(lines) == 7
    first = ""
    for line in lines:
        said = cli("--data", data, *shlex.split(line)[1:], columns=200)
        assert (said.code, said.err) == (0, "")
        first = first or said.out
    assert re.sub(r"\d{4}-\d\d-\d\d", "2026-05-03", first).strip() in PAGE
    table = PAGE.partition("### Throws")[2].partition("### Comparisons")[0]
    words = re.findall(r"^\| (.+?) \|", table, re.MULTILINE)[1:]
    told = [part for row in words for part in re.findall(r"`([^`]+)`", row)]
    assert len(told) >= 24
    for part in told:
        says_where = "--rest" in part or throw_in(part.partition("--")[0]).says_where
        where = [] if says_where else ["64m", "5mL"]
        said = cli("--data", data, "log", "throw", "nh27-red", *where, *shlex.split(part))
        assert (said.code, said.err) == (0, ""), part
