"""The command that shows a course and changes its areas."""

from __future__ import annotations

import json

HEAD = "kind,hole,from (m),to (m),left (m),right (m),name\n"


def test_areas_are_added_listed_and_taken_away(cli, unplanned, tmp_path):
    table = tmp_path / "areas.csv"
    table.write_text(HEAD + "pond,1,20,40,5,30,mere\nwood,2,0,80,30,-8,\n", encoding="utf-8")
    before = json.loads(cli("--data", unplanned, "course", "--json").out)
    assert before["areas"] == []
    added = cli("--data", unplanned, "course", "--add", table)
    assert (added.code, added.err) == (0, "")
    assert "2 areas added" in added.out
    assert "mere" in added.out
    shown = json.loads(cli("--data", unplanned, "course", "--json").out)
    assert [area["kind"] for area in shown["areas"]] == ["water", "wood"]
    assert [area["near_hole"] for area in shown["areas"]] == ["1", "2"]
    assert shown["areas"][0]["square_m"] == 700.0
    gone = cli("--data", unplanned, "course", "--remove", "1")
    assert "water mere was taken away" in gone.out
    left = json.loads(cli("--data", unplanned, "course", "--json").out)
    assert [area["kind"] for area in left["areas"]] == ["wood"]


def test_a_file_with_one_wrong_row_changes_nothing(cli, unplanned, tmp_path):
    table = tmp_path / "areas.csv"
    table.write_text(HEAD + "pond,1,20,40,5,30,\nbog,1,20,40,5,30,\n", encoding="utf-8")
    said = cli("--data", unplanned, "course", "--add", table)
    assert said.code == 1
    assert "areas.csv: line 3" in said.err
    assert json.loads(cli("--data", unplanned, "course", "--json").out)["areas"] == []


def test_wrong_wishes_are_refused_in_one_sentence(cli, unplanned, tmp_path):
    for arguments, hint in (
        (("--remove", "3"), "has no area"),
        (("--add", tmp_path / "nothing.csv"), "there is no file"),
        (("somewhere",), "no course is called"),
        (("--add", tmp_path / "a.csv", "--remove", "1"), "one after the other"),
    ):
        said = cli("--data", unplanned, "course", *arguments)
        assert said.code == 1
        assert hint in said.err.replace("\n", " ")
