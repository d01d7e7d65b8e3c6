"""The commands that keep the records safe, as they are typed."""

from __future__ import annotations

import json

import pytest

from rimwise.cli import main


@pytest.fixture
def rimwise(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "200")

    def run(*words, code=0):
        monkeypatch.setattr("sys.argv", ["rimwise", "--data", str(tmp_path / "d.db"), *words])
        with pytest.raises(SystemExit) as done:
            main.run()
        told = capsys.readouterr()
        assert done.value.code == code, told
        return told.err if code else told.out

    run("init", "--fairway", "90m")
    table = tmp_path / "discs.csv"
    table.write_text(
        "disc,mold,speed,glide,turn,fade,plastic,weight\nred,NH 27,7,5,-2,1,base,170\n", "utf-8"
    )
    run("import", str(table))
    return run


def test_an_evening_of_mistakes(rimwise, tmp_path):
    rimwise("log", "throw", "red", "60m", "4L")
    rimwise("discs", "--set", "red", "status=lost")
    told = rimwise("history")
    assert "disc red changed: status: at home → lost" in told
    number = told.split()[0]
    assert "Taken back, step" in rimwise("undo", number)
    assert "(taken back)" in rimwise("history", "red")
    assert "there is no step 99" in rimwise("undo", "99", code=1)
    assert "there is nothing" not in rimwise("backup")
    (line, *_) = json.loads(rimwise("backup", "--list", "--json"))
    assert line["name"].startswith("d-20")
    rimwise("log", "delete", "t1")
    assert "add --yes" in rimwise("purge", code=1).lower()
    assert "1 deleted entries" in rimwise("purge", "--yes")
    assert "Nothing is in the history yet." in rimwise("history")
    assert "1 throw" in rimwise("restore", line["name"])
    assert "All records are sound" in rimwise("records", "check")
    out = tmp_path / "out.zip"
    assert str(out) in rimwise("records", "export", str(out))
    assert "The records are now those of out.zip: 1 disc, 1 throw" in rimwise("restore", str(out))


def test_a_failed_automatic_backup_is_told_and_costs_nothing(
    rimwise, tmp_path, monkeypatch, capsys
):
    for one in (tmp_path / "backups").iterdir():
        one.unlink()
    (tmp_path / "backups").rmdir()
    (tmp_path / "backups").write_text("in the way")
    assert "t1 kept" in rimwise("log", "throw", "red", "60m", "4L")
    monkeypatch.setattr(
        "sys.argv",
        ["rimwise", "--data", str(tmp_path / "d.db"), "log", "throw", "red", "61m", "3R"],
    )
    with pytest.raises(SystemExit):
        main.run()
    assert "your records are saved, but the backup folder" in capsys.readouterr().err
    assert "t2" in rimwise("log", "list")
