"""Backups, restore, history, export and faults in the browser; backups of their own accord."""

from __future__ import annotations

import io
import re
import shutil
import sqlite3
import tempfile
import zipfile
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from web_page import Page, form_of

from rimwise.app.backing import back_up, backup_lines
from rimwise.store.opening import open_store
from rimwise.web import guarding
from rimwise.web.sharing import COOKIE, Sharing
from tiny_season import contents


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def names(season):
    return [line.name for line in backup_lines(season)]


def change(page, note):
    text = page.get("/disc/nh27-gold").text
    version = re.search('name="version" value="([^"]+)"', text)[1]
    sent = {"version": version, "note": note}
    assert page.ask("POST", "/disc/nh27-gold", data=sent).status_code == 303


def note_of(season):
    with open_store(season) as store:
        return store.discs.get("nh27-gold").note


def test_a_change_makes_a_backup_of_its_own_accord_once_an_hour(page, season):
    assert names(season) == []
    change(page, "first")
    assert len(names(season)) == 1
    change(page, "second")
    assert len(names(season)) == 1
    with open_store(season.parent / "backups" / names(season)[0]) as copy:
        assert copy.discs.get("nh27-gold").note == "first"


def test_a_backup_that_fails_spoils_no_page(page, season, caplog):
    (season.parent / "backups").write_text("in the way")
    change(page, "kept all the same")
    assert note_of(season) == "kept all the same"
    assert "no backup was made: the backup folder" in caplog.text


def test_back_up_look_go_back_and_go_back_again(page, season):
    before = note_of(season)
    assert "None yet." in page.get("/records").text
    done = page.ask("POST", form_of(page, "/records", "/records/backup"))
    (name,) = names(season)
    assert name in page.get(done.headers["location"]).text
    change(page, "changed")
    asked = page.get(f"/records/restore/{name}")
    assert "It is not lost" in asked.text
    done = page.ask("POST", f"/records/restore/{name}")
    assert note_of(season) == before
    shown = page.get(done.headers["location"]).text
    assert "The backup is in place." in shown
    back = re.search('href="(/records/restore/[^"]*before-restore[^"]*)">Go back', shown)[1]
    page.ask("POST", back)
    assert note_of(season) == "changed"


def test_only_backups_are_handed_out(page, season):
    page.ask("POST", "/records/backup")
    (name,) = names(season)
    answer = page.get(f"/records/backup/{name}")
    assert answer.content == (season.parent / "backups" / name).read_bytes()
    assert answer.headers["content-disposition"] == f"attachment; filename*=UTF-8''{name}"
    for other in ("..%2Fseason.db", "season.db", "%2e%2e", f"..%2F..%2F{season}", f"{name}%00"):
        assert page.get(f"/records/backup/{other}").status_code == 404, other
        assert page.ask("POST", f"/records/restore/{other}").status_code == 404, other


def test_everything_is_exported(page):
    answer = page.get("/records/export.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert {"discs.csv", "rimwise.json", "carries.csv"} <= set(packed.namelist())


def test_history_is_shown_and_taken_back(page, season):
    before = note_of(season)
    change(page, "first")
    change(page, "<b>second</b>")
    shown = page.get("/records/history").text
    assert "disc nh27-gold changed: note: first → &lt;b&gt;second&lt;/b&gt;" in shown
    steps = [int(n) for n in re.findall('name="step" value="(\\d+)"', shown)]
    assert steps == sorted(steps, reverse=True)
    refused = page.ask("POST", "/records/undo", data={"step": str(steps[1])})
    assert refused.status_code == 400
    assert f"changed again since, in step {steps[0]}" in refused.text
    done = page.ask("POST", "/records/undo", data={"step": str(steps[0])})
    assert "is taken back." in page.get(done.headers["location"]).text
    page.ask("POST", "/records/undo", data={"step": str(steps[1])})
    assert note_of(season) == before
    for wrong in ("", "x", "-1", "99999999999999", str(10**9 - 1)):
        assert page.ask("POST", "/records/undo", data={"step": wrong}).status_code in (400, 404)
    assert "nh27-gold" in page.get("/records/history?thing=nh27-gold").text
    assert page.get("/records/history?thing=nosuch").status_code == 400


def test_faults_are_told_and_mended(page, season):
    assert "All records are sound" in page.ask("POST", "/records/check").text
    with open_store(season) as store:
        store.connection.execute("DROP INDEX throws_by_disc")
    told = page.ask("POST", "/records/check").text
    assert "The index throws_by_disc is gone." in told
    assert "Mend what can be mended" in told
    told = page.ask("POST", "/records/check", data={"mend": "yes"}).text
    assert "Mended" in told
    assert "All records are sound" in told


def test_nothing_is_restored_while_something_is_worked_out(page, season, monkeypatch):
    page.ask("POST", "/records/backup")
    (name,) = names(season)
    change(page, "changed")
    from rimwise.web.working import Job, Worker

    job = Job("k", "a plan", "/plan", "/", {}, lambda _store, _progress: None)
    monkeypatch.setattr(Worker, "running", lambda _self: job)
    refused = page.ask("POST", f"/records/restore/{name}")
    assert refused.status_code == 400
    assert "is being worked out" in refused.text
    assert note_of(season) == "changed"


def test_a_paired_phone_gets_no_backups(season):
    sharing = Sharing.of(season, "192.168.7.20", 8765)
    phone = Page(season, sharing).from_elsewhere("http://192.168.7.20:8765")
    sharing.devices.add("s" * 43, "phone", date(2026, 6, 1))
    headers = {"cookie": f"{COOKIE}={'s' * 43}"}
    for path in ("/records", "/records/export.zip", "/records/history"):
        answer = phone.get(path, headers=headers)
        assert answer.status_code == 403
        assert "on the computer only" in answer.text
    assert phone.ask("POST", "/records/backup", headers=headers).status_code == 403


# -- a backup from elsewhere ----------------------------------------------------------------------


def send(page, name, content):
    return page.ask("POST", "/records/bring", files={"file": (name, content)})


def elsewhere(season, tmp_path):
    """Return a backup of these records in which a note is another and a disc is missing."""
    copy = tmp_path / "elsewhere.db"
    shutil.copyfile(season, copy)
    with open_store(copy) as store:
        store.discs.put(replace(store.discs.get("nh27-gold"), note="from elsewhere"))
        made = back_up(store, datetime(2026, 5, 3, 12), tmp_path / "stick")
    return Path(made.path).read_bytes()


@pytest.mark.parametrize("name", ["stick.db", "../../x<script>.db", "\u202ebd.evil", "a" * 300])
def test_a_backup_from_elsewhere_is_shown_kept_and_gone_back_from(page, season, tmp_path, name):
    before = note_of(season)
    sent = elsewhere(season, tmp_path)
    old = contents(season)
    looked = send(page, name, sent)
    assert looked.status_code == 200
    assert "<script>" not in looked.text.replace("<script src=", "")
    assert '<th scope="row">discs</th><td>6</td><td>6</td>' in looked.text
    assert '<th scope="row">plans</th><td>2</td><td>2</td>' in looked.text
    assert contents(season) == old
    number = re.search('name="upload" value="([0-9a-f]+)"', looked.text)[1]
    done = page.ask("POST", "/records/bring/keep", data={"upload": number})
    assert note_of(season) == "from elsewhere"
    shown = page.get(done.headers["location"]).text
    back = re.search('href="(/records/restore/[^"]*before-restore[^"]*)">Go back', shown)[1]
    page.ask("POST", back)
    assert note_of(season) == before
    again = page.ask("POST", "/records/bring/keep", data={"upload": number})
    assert again.status_code == 404


def test_an_export_from_elsewhere_is_put_in_place_too(page, season):
    packed = page.get("/records/export.zip").content
    change(page, "after the export")
    looked = send(page, "records.zip", packed)
    number = re.search('name="upload" value="([0-9a-f]+)"', looked.text)[1]
    page.ask("POST", "/records/bring/keep", data={"upload": number})
    assert note_of(season) != "after the export"


def foreign():
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE x (y)")
    return connection.serialize()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "neither a backup nor an export"), (b"\x89PNG\r\n" * 50, "neither a backup"),
        (b"SQLite format 3\x00", "another program"), (foreign(), "another program"),
        (b"PK\x03\x04 no zip", "records.db"),
    ],
)  # fmt: skip
def test_what_is_no_backup_is_refused_and_nothing_is_touched(page, season, content, told):
    before = contents(season)
    answer = send(page, "records.db", content)
    assert answer.status_code == 400
    assert told in answer.text
    assert tempfile.gettempdir() not in answer.text
    assert "`rimwise" not in answer.text
    assert 'aria-describedby="file-wrong"' in answer.text
    assert contents(season) == before


def test_a_damaged_backup_is_refused(page, season, tmp_path):
    sent = bytearray(elsewhere(season, tmp_path))
    sent[5000:60000] = bytes(55000)
    answer = send(page, "stick.db", bytes(sent))
    assert answer.status_code == 400
    assert "damaged" in answer.text
    assert str(tmp_path) not in answer.text


def test_nothing_chosen_and_too_much_are_said(page, monkeypatch):
    assert "No file was chosen" in page.ask("POST", "/records/bring").text
    monkeypatch.setitem(guarding._UPLOADS, "/records/bring", 1000)
    assert send(page, "big.db", bytes(2000)).status_code == 413
