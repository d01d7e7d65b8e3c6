"""Backups, restore, history, export and faults in the browser; backups of their own accord."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date

import pytest
from web_page import Page, form_of

from rimwise.app.backing import backup_lines
from rimwise.store.opening import open_store
from rimwise.web.sharing import COOKIE, Sharing


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
