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
        (("--undo",), "was not changed"),
        (("--copy-from", "elsewhere"), "no course 'elsewhere'"),
        (("--add", tmp_path / "nothing.csv"), "there is no file"),
        (("somewhere",), "no course is called"),
        (("--add", tmp_path / "a.csv", "--remove", "1"), "one after the other"),
    ):
        said = cli("--data", unplanned, "course", *arguments)
        assert said.code == 1
        assert hint in said.err.replace("\n", " ")


def test_a_change_is_taken_back(cli, unplanned, tmp_path):
    table = tmp_path / "areas.csv"
    table.write_text(HEAD + "pond,1,20,40,5,30,mere\n", encoding="utf-8")
    cli("--data", unplanned, "course", "--add", table)
    back = cli("--data", unplanned, "course", "--undo")
    assert "is as it was before" in back.out
    assert "added areas.csv" in back.out
    assert json.loads(cli("--data", unplanned, "course", "--json").out)["areas"] == []


def test_marks_are_numbered_after_the_areas_and_say_where_they_stand(cli, unplanned, tmp_path):
    table = tmp_path / "marks.csv"
    table.write_text(
        "kind,hole,from (m),to (m),left (m),right (m),pass,after,name\n"
        "wood,2,0,80,30,-8,,,\nmando,1,30,4,,,right,,oak\n".replace("30,4,,,", "30,,4,,")
        + "drop zone,2,60,,,5,,water,\n",
        encoding="utf-8",
    )
    said = cli("--data", unplanned, "course", "--add", table)
    assert (said.code, said.err) == (0, "")
    assert "1 area, 1 mandatory and 1 drop zone added" in said.out
    assert "pass on the right" in said.out
    assert "after water" in said.out
    shown = json.loads(cli("--data", unplanned, "course", "--json").out)
    assert [(m["number"], m["kind"], m["hole"]) for m in shown["marks"]] == [
        (2, "mandatory", "1"),
        (3, "drop zone", "2"),
    ]
    assert [round(m["along_m"], 6) for m in shown["marks"]] == [30.0, 60.0]
    assert [round(m["left_m"], 6) for m in shown["marks"]] == [4.0, -5.0]
    gone = cli("--data", unplanned, "course", "--remove", "2")
    assert "mandatory oak was taken away" in gone.out
    left = json.loads(cli("--data", unplanned, "course", "--json").out)
    assert [m["kind"] for m in left["marks"]] == ["drop zone"]
    assert len(left["areas"]) == 1


def test_facts_about_holes_are_changed_by_a_table(cli, unplanned, tmp_path):
    table = tmp_path / "holes.csv"
    table.write_text("hole,par,slope (%),shelter\n2,5,-5,0.5\n", encoding="utf-8")
    said = cli("--data", unplanned, "course", "--add", table)
    assert (said.code, said.err) == (0, "")
    assert "Hole changed: 2." in said.out
    assert "not 5. Check the length and the par." in " ".join(said.out.split())
    hole = json.loads(cli("--data", unplanned, "course", "--json").out)["holes"][1]
    assert (hole["par"], hole["shelter"]) == (5, 0.5)
    assert hole["climb_m"] == -0.05 * hole["length_m"]


def test_what_was_said_of_holes_outlives_the_same_file_where_that_is_silent(
    cli, unplanned, tmp_path
):
    table, facts = tmp_path / "moor.csv", tmp_path / "facts.csv"
    table.write_text("hole,length (m),par\n1,80,3\n2,95,\n", encoding="utf-8")
    facts.write_text(
        "hole,par,climb (m),shelter,name\n1,4,,,\n2,4,-3,0.5,ridge\n", encoding="utf-8"
    )
    first = cli("--data", unplanned, "import", table, "--kind", "course")
    assert "does not stand in the new file" not in first.out
    cli("--data", unplanned, "course", "moor", "--add", facts)
    again = cli("--data", unplanned, "import", table, "--kind", "course")
    assert "does not stand in the new file was kept" in " ".join(again.out.split())
    one, two = json.loads(cli("--data", unplanned, "course", "moor", "--json").out)["holes"]
    assert (one["par"], two["par"]) == (3, 4)  # the file has a par of the first
    assert (two["climb_m"], two["shelter"], two["name"]) == (-3.0, 0.5, "ridge")
