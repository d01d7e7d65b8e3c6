"""Backups rotate, restores replace all or nothing, exports come back equal row for row."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
import store_examples as ex
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError, StoreError
from rimwise.store import restoring
from rimwise.store.backup import Backup, backups_in, kept_of, rotate
from rimwise.store.exchange import archive, unarchive
from rimwise.store.journal import KINDS, Journal
from rimwise.store.migrate import Migration, shipped_migrations
from rimwise.store.opening import backup, integrity_check, open_store
from rimwise.store.restoring import restore_from

NOON = datetime(2026, 4, 1, 12, 0, 5)
#: Texts that a spreadsheet runs, or that a careless guard changes.
TEXTS = (
    *("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "'", "''", "'=1", "''+1", "'quoted'"),
    *("", " ", 'say "so"', "a,b;c", "two\r\nlines", "Größe ±1 ✓", "\x00", "1e5", "007"),
)


def dump(path):
    """Return every row of every table, in an order that does not hang on how it was filled."""
    with closing(sqlite3.connect(path)) as raw:
        tables = [
            name for (name,) in raw.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        ]
        rows = {name: raw.execute(f'SELECT * FROM "{name}"').fetchall() for name in tables}  # noqa: S608
        return {name: sorted(found, key=repr) for name, found in sorted(rows.items())}


@pytest.fixture(scope="module")
def full_file(tmp_path_factory):
    """A file with one of everything, a history, and texts that are hard to keep."""
    path = tmp_path_factory.mktemp("full") / "full.sqlite"
    with open_store(path, clock=lambda: NOON) as store:
        ex.fill(store)
        for number, text in enumerate(TEXTS):
            store.discs.put(replace(ex.RED, id=f"d{number}", note=text, mark=text, colour=text))
        store.courses.put(
            replace(ex.COURSE, name="no place", origin_lat_deg=None, origin_lon_deg=None)
        )
        store.reports.put("plan:x", {"a": [1, 2.5, None, "=1"]})
        journal = Journal(store)
        journal.delete(KINDS["throw"], 1, NOON)
        store.knocks.delete(store.knocks.add(ex.KNOCK))
    return path


@pytest.fixture
def full(full_file, tmp_path):
    path = tmp_path / "data.sqlite"
    path.write_bytes(full_file.read_bytes())
    return path


def exported(path):
    with open_store(path) as store:
        return archive.archive_of(store.connection, "0.1.0")


# -- rotation ----------------------------------------------------------------------------------


def at(*moments, before=""):
    return [Backup(Path(f"{moment}{before}"), moment, before) for moment in moments]


def test_the_latest_ten_fourteen_days_and_twelve_months_are_kept():
    start = datetime(2024, 1, 1, 6)
    every_six_hours = at(*(start + timedelta(hours=6 * n) for n in range(4 * 800)))
    kept = [one.at for one in kept_of(every_six_hours)]
    assert kept[-10:] == [one.at for one in every_six_hours[-10:]]
    by_day = {one.at.date(): one.at for one in every_six_hours}
    by_month = {one.at.strftime("%Y-%m"): one.at for one in every_six_hours}
    assert set(list(by_day.values())[-14:]) <= set(kept)
    assert set(list(by_month.values())[-12:]) <= set(kept)
    assert kept[0] == by_month["2025-04"]  # 800 days end in March 2026
    others = {*list(by_day.values())[-14:], *list(by_month.values())[-12:]}
    assert len(set(kept)) == len(set(kept[-10:]) | others) == len(kept)


def test_what_was_made_before_something_dangerous_is_not_crowded_out():
    usual = at(*(NOON + timedelta(hours=n) for n in range(100)))
    dangerous = at(*(NOON - timedelta(n) for n in range(20)), before="purge")
    kept = kept_of([*usual, *dangerous])
    assert [one.at for one in kept if one.before] == sorted(one.at for one in dangerous)[-10:]
    assert len(kept_of(usual)) == len(kept) - 10


def test_rotation_deletes_only_what_is_ours(full, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    with open_store(full) as store:
        for day in range(40):
            backup(store, folder, clock=lambda day=day: NOON + timedelta(day))
    mine = folder / "data-2026-04-01-120005-keep this.sqlite"
    mine.write_bytes(b"mine")
    other = folder / "other-2026-04-01-120005.sqlite"
    other.write_bytes(b"another data file's")
    left = folder / "data-2026-04-01-120006.999999.partial"
    left.write_bytes(b"half")
    running = folder / f"data-2026-04-01-120006.{os.getpid()}.partial"
    running.write_bytes(b"under way")
    assert left in rotate(folder, "data")
    assert mine.exists()
    assert other.exists()
    assert running.exists()
    days = [one.at.date() for one in backups_in(folder, "data")]
    last = (NOON + timedelta(39)).date()
    fortnight = [last - timedelta(n) for n in range(13, -1, -1)]
    assert days == [(NOON + timedelta(29)).date(), *fortnight][-len(days) :]
    assert len(days) in (14, 15)


def test_backups_of_one_second_are_in_their_order(full, tmp_path):
    with open_store(full) as store:
        made = [backup(store, tmp_path / "b", clock=lambda: NOON) for _ in range(12)]
    assert [one.path for one in backups_in(tmp_path / "b", "data")] == made


# -- restoring ---------------------------------------------------------------------------------


def test_a_restore_brings_all_of_it_back_and_keeps_what_was_there(full, full_file, tmp_path):
    with open_store(full) as store:
        saved = backup(store, tmp_path / "b")
        store.throws.add(ex.THROW)
    later = dump(full)
    done = restore_from(saved, full, NOON)
    assert dump(full) == dump(full_file)
    assert done.before.name == "data-2026-04-01-120005-before-restore.sqlite"
    assert dump(done.before) == later
    with open_store(full) as store:
        assert integrity_check(store) == ()
        assert store.throws.add(ex.THROW) == 2  # numbers go on where they were
    restore_from(done.before, full, NOON)
    assert dump(full) == later
    assert not list((tmp_path / "backups").glob("*.partial*"))


def test_programs_that_have_the_file_open_go_on_with_what_was_restored(full, tmp_path):
    with open_store(full) as reader, open_store(full) as store:
        saved = backup(store, tmp_path / "b")
        store.throws.add(ex.THROW)
        assert len(reader.throws) == 1
        restore_from(saved, full, NOON)
        assert len(reader.throws) == len(store.throws) == 0
        reader.throws.add(ex.THROW)
        assert len(store.throws) == 1


def test_nothing_is_missing_in_the_backup_of_what_was_replaced(full, tmp_path, monkeypatch):
    """What another program saves last, while the restore begins, is in the backup."""
    with open_store(full) as store:
        saved = backup(store, tmp_path / "b")
    drop = restoring._drop_everything

    def late(live):
        code = (
            "import sys, sqlite3; raw = sqlite3.connect(sys.argv[1], timeout=0.1)\n"
            "raw.execute(\"INSERT INTO settings VALUES ('late', '1')\"); raw.commit()"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, str(full)], capture_output=True, text=True
        )
        assert "database is locked" in done.stderr
        drop(live)

    monkeypatch.setattr(restoring, "_drop_everything", late)
    restore_from(saved, full, NOON)


def test_a_restore_that_fails_changes_nothing(full, tmp_path, monkeypatch):
    before = dump(full)
    with open_store(full) as store:
        saved = backup(store, tmp_path / "b")
    monkeypatch.setattr(restoring, "_take_everything", lambda live: live.execute("SELECT oops"))
    with pytest.raises(sqlite3.OperationalError, match="no such column"):
        restore_from(saved, full, NOON)
    assert dump(full) == before


def test_a_missing_data_file_is_made(full, full_file, tmp_path):
    new = tmp_path / "new.sqlite"
    done = restore_from(full, new, NOON)
    assert done.before is None
    assert dump(new) == dump(full_file)


def test_a_damaged_data_file_is_kept_aside_and_replaced(full, full_file, tmp_path):
    with open_store(full) as store:
        saved = backup(store, tmp_path / "b")
    content = bytearray(full.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    full.write_bytes(content)
    full.with_name("data.sqlite-wal").write_bytes(b"old pages")
    done = restore_from(saved, full, NOON)
    assert done.damaged
    assert done.before.read_bytes() == bytes(content)
    assert done.before.with_name(done.before.name + "-wal").read_bytes() == b"old pages"
    assert dump(full) == dump(full_file)


def test_an_old_backup_is_brought_up_to_date(full, tmp_path):
    old = tmp_path / "old.sqlite"
    old.write_bytes((Path(__file__).parents[2] / "regression/store/version-1.sqlite").read_bytes())
    before = old.read_bytes()
    restore_from(old, full, NOON)
    assert old.read_bytes() == before
    with open_store(full) as store:
        assert [disc.id for disc in store.discs.all()] == ["blue", "red", "putter"]
        assert integrity_check(store) == ()


@pytest.mark.parametrize(
    "kind", ["missing", "text", "foreign", "empty", "newer", "damaged", "self"]
)
def test_what_cannot_be_restored_is_refused_and_nothing_changes(full, tmp_path, kind):
    source = tmp_path / "source.sqlite"
    if kind == "text":
        source.write_text("mold,speed\n" * 30)
    if kind == "empty":
        source.touch()
    if kind == "foreign":
        with closing(sqlite3.connect(source)) as raw:
            raw.execute("CREATE TABLE recipes (name TEXT)")
    if kind == "newer":
        now = shipped_migrations()
        open_store(source, migrations=[*now, Migration(len(now) + 1, "x", "SELECT 1;")]).close()
    if kind == "damaged":
        content = bytearray(full.read_bytes())
        content[8192 : 8192 + 40000] = b"\xff" * 40000
        source.write_bytes(content)
    if kind == "self":
        source = full
    sentence = {
        "missing": "there is no file .*; `rimwise backup --list`",
        "text": "is neither a backup nor an export of Rimwise",
        "empty": "is neither a backup nor an export of Rimwise",
        "foreign": "is a database of another program",
        "newer": r"source\.sqlite' was made by a newer Rimwise .*; update the program",
        "damaged": "is damaged",
        "self": "is the data file itself",
    }
    before = full.read_bytes()
    with pytest.raises((InputError, StoreError), match=sentence[kind]):
        restore_from(source, full, NOON)
    assert full.read_bytes() == before
    assert not list((tmp_path / "backups").glob("*"))


def test_another_programs_file_is_never_written_over(full, tmp_path):
    target = tmp_path / "letter.txt"
    target.write_text("dear diary " * 99)
    with pytest.raises(InputError, match="is not a Rimwise data file"):
        restore_from(full, target, NOON)
    other = tmp_path / "recipes.sqlite"
    with closing(sqlite3.connect(other)) as raw:
        raw.execute("CREATE TABLE recipes (name TEXT)")
    with pytest.raises(StoreError, match="not one made by Rimwise"):
        restore_from(full, other, NOON)
    assert "recipes" in dump(other)


# -- export ------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["folder", "zip"])
def test_an_export_comes_back_equal_row_for_row(full, tmp_path, form):
    files = exported(full)
    source = tmp_path / "out"
    if form == "folder":
        source.mkdir()
        for name, data in files.items():
            (source / name).write_bytes(data)
        (source / "notes of mine.doc").write_text("left alone")
    else:
        source.write_bytes(archive.zipped(files))
    new = tmp_path / "new.sqlite"
    assert restore_from(source, new, NOON).notices == ()
    assert dump(new) == dump(full)
    assert exported(new) == files


def test_no_cell_of_an_export_is_a_formula(full):
    import csv
    import io

    cells = 0
    for name, data in exported(full).items():
        if not name.endswith(".csv"):
            continue
        for row in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
            for cell in row:
                cells += 1
                if cell[:1] in "=+-@\t\r\n" and cell:
                    float(cell)  # a number is none
    assert cells > 400


@given(
    text=st.text(alphabet=st.sampled_from("'=+-@\t\r\n a,\"1"), max_size=6), optional=st.booleans()
)
@settings(max_examples=300, deadline=None)
def test_what_is_guarded_comes_back(text, optional):
    cell = archive.guarded(text, optional=optional)
    assert not (cell and cell[0] in "=+-@\t\r\n")
    read = unarchive._reader("TEXT", optional)
    assert read(cell) == text


def test_courses_are_maps_that_others_read(full):
    maps = [json.loads(data) for name, data in exported(full).items() if name.endswith("geojson")]
    (heath,) = [one for one in maps if one["rimwise"]["name"] == "heath"]
    kinds = [one["geometry"]["type"] for one in heath["features"]]
    assert kinds == ["LineString", "LineString", "Polygon", "Point", "Point"]
    lon, lat = heath["features"][0]["geometry"]["coordinates"][0]
    assert (lon, lat) == (8.5, 54.25)
    outer, hole = heath["features"][2]["geometry"]["coordinates"]
    assert outer[0] == outer[-1]

    def twice_area(ring):
        return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))

    assert twice_area(outer) > 0 > twice_area(hole)  # RFC 7946, section 3.1.6
    (nowhere,) = [one for one in maps if one["rimwise"]["name"] == "no place"]
    assert {one["geometry"] for one in nowhere["features"]} == {None}


@pytest.mark.parametrize(
    ("name", "change", "sentence"),
    [
        ("throws.csv", None, r"the export lacks throws\.csv"),
        ("rimwise.json", None, "is no export of Rimwise"),
        ("rimwise.json", b"{", "is no JSON"),
        ("rimwise.json", b"[" * 100_000, "is no JSON"),
        (
            "rimwise.json",
            b'{"format": 2, "schema": 6, "numbers": {}, "sha256": {}}',
            "by a newer Rimw",
        ),
        (
            "rimwise.json",
            b'{"format": 1, "schema": true, "numbers": {}, "sha256": {}}',
            "is not as Rim",
        ),
        ("putts.csv", b"id,on\r\n1\r\n", r"putts\.csv, line 2: there are 1 cells for 2 columns"),
        (
            "putts.csv",
            b"id,on\r\n1,2\r\n",
            r"putts\.csv, line 2: the columns are not those of putts",
        ),
        ("putts.csv", b"id,shoe\r\n1,2\r\n", "has a column 'shoe' that Rimwise does not know"),
        ("putts.csv", b"\xff\xfe\xfa", "is not UTF-8"),
        ("plastics.csv", b"name\r\n", "the export is not whole: discs names something"),
        ("settings.json", b'{"rows": [{"key": "a", "value": "{"}]}', "this row cannot be kept"),
        ("course-001-heath.geojson", b'{"features": [1], "rimwise": {}}', "courses"),
    ],
)
def test_an_export_that_was_broken_is_refused(full, tmp_path, name, change, sentence):
    files = exported(full)
    if change is None:
        del files[name]
    else:
        files[name] = change
    source = tmp_path / "x.zip"
    source.write_bytes(archive.zipped(files))
    before = full.read_bytes()
    with pytest.raises((InputError, StoreError), match=sentence):
        restore_from(source, full, NOON)
    assert full.read_bytes() == before


def test_numbers_are_numbers(full, tmp_path):
    files = exported(full)
    for wrong in ("abc", "nan", "inf", "1_0", ""):
        files["putts.csv"] = (
            b"id,on,distance_m,tried,made,conditions,weather_temperature_c,weather_wind_m_s,"
            b"weather_wind_from_deg,weather_wet,weather_ground\r\n1,2026-01-01,"
            + wrong.encode()
            + b",20,13,,,,,,\r\n"
        )
        with pytest.raises(InputError, match=r"putts\.csv, line 2: distance_m is no number"):
            unarchive.database_from(files, tmp_path / f"{wrong or 'empty'}.sqlite")


def test_what_was_edited_in_an_export_counts_and_is_said(full, tmp_path):
    files = exported(full)
    files["discs.csv"] = files["discs.csv"].replace(b"at home", b"lost")
    source = tmp_path / "x.zip"
    source.write_bytes(archive.zipped(files))
    done = restore_from(source, tmp_path / "new.sqlite", NOON)
    assert done.notices == ("discs.csv was changed since it was exported.",)


def test_a_zip_that_grows_without_end_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(unarchive, "_MOST_BYTES", 10_000)
    bomb = tmp_path / "bomb.zip"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("throws.csv", b"0" * 1_000_000)
    with pytest.raises(InputError, match="is bigger than any export"):
        unarchive.files_of(bomb)
    lying = bytearray(bomb.read_bytes())
    size = (1_000_000).to_bytes(4, "little")
    assert size in lying
    bomb.write_bytes(bytes(lying).replace(size, (100).to_bytes(4, "little")))
    with pytest.raises(InputError):
        unarchive.files_of(bomb)


def test_names_in_a_zip_are_no_paths(full, tmp_path):
    source = tmp_path / "x.zip"
    with zipfile.ZipFile(source, "w") as packed:
        for name, data in exported(full).items():
            packed.writestr(name, data)
        for name in ("../out.csv", "/etc/out.csv", "a/b.csv", "C:\\out.csv", "throws.exe"):
            packed.writestr(name, b"x")
    assert set(unarchive.files_of(source)) == set(exported(full))
