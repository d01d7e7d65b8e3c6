"""What was logged on the phone comes in whole, once, and is refused with a reason."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from urllib.parse import quote

import pytest

from rimwise.app.bring import bring_file
from rimwise.app.noted import delete_evidence, list_evidence
from rimwise.errors import InputError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from tiny_season import contents

TODAY, NOW = date(2026, 11, 26), datetime(2026, 11, 26, 18, 0)
AIR = "-3C wet frozen ground wind 6m/s from ahead and the left"


def line(kind: str, id_: str, *fields: object, on: str = "2026-11-26") -> str:
    return "|".join([kind, id_, on, *(quote(str(one), safe=":,") for one in fields)])


THROW = line(
    *("throw", "a-1", "course", "1", "nh27-blue", "61.4", "-4.2", "backhand", "12", "7", "0.8"),
    *("the tee", AIR),
)
OTHER = line(
    *("throw", "a-2", "course", "1", "kv15-red", "20.0", "0.5", "", "", "", ""),
    *("61 m out, on the line", "-3C dry frozen ground calm"),
)
PUTT = line("putts", "b-1", "6.4", "1", "1", "-3C wet frozen ground wind 6m/s")
ROUND = line("round", "c-1", "course", "1:3", "-3C wet frozen ground wind 6m/s")


def whole(*lines: str) -> str:
    """Close a text as the phone does; FNV-1a, 32 bits, written out once more."""
    text = "\n".join(["rimwise phone log 1", *lines])
    found = 2166136261
    for letter in text.encode():
        found = (found ^ letter) * 16777619 % 2**32
    return f"{text}\nend|{len(lines)}|{found:08x}\n"


@pytest.fixture
def data(unplanned: Path) -> Path:
    return unplanned


def bring(store: Store, folder: Path, text: str, **other: object):
    path = folder / "phone.txt"
    path.write_text(text, encoding="utf-8")
    return bring_file(store, path, today=TODAY, now=NOW, **other)  # type: ignore[arg-type]


def words_of(store: Store) -> list[str]:
    return [f"{one.kind}: {one.words}" for one in list_evidence(store)]


def test_throws_putts_and_a_round_come_in(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store:
        brought = bring(store, tmp_path, whole(THROW, OTHER, PUTT, ROUND))
        assert brought.words == "2 throws, 1 putt and 1 round from phone.txt."
        (_, first), (_, second) = store.throws.all()
        assert (first.disc_id, first.distance_m, first.left_m) == ("nh27-blue", 61.4, -4.2)
        assert (first.line.hyzer_deg, first.line.launch_deg, first.line.effort) == (12, 7, 0.8)
        assert first.weather.wind_m_s == 6.0
        assert first.weather.wind_from_deg == 315.0
        assert first.weather.temperature_c == -3.0
        assert first.weather.wet is True
        assert "hole 1, from the tee" in first.note
        assert second.line == store.throwers.all()[0].stock  # another disc: the stock throw
        assert second.weather.wind_m_s == 0.0
        ((_, putts),) = store.putts.all()
        assert (putts.distance_m, putts.tried, putts.made) == (6.4, 1, 1)
        ((_, played),) = store.rounds.all()
        assert [(one.hole, one.strokes) for one in played.scores] == [("1", 3)]
        assert played.on == TODAY


def test_bringing_it_twice_changes_nothing(data: Path, tmp_path: Path) -> None:
    text = whole(THROW, OTHER, PUTT, ROUND)
    with open_store(data) as store:
        bring(store, tmp_path, text)
    before = contents(data)
    with open_store(data) as store:
        again = bring(store, tmp_path, text.replace("\n", "\r\n"))
        assert again.count == 0
        assert again.words == "Nothing new from phone.txt."
        assert again.notices == ("4 entries on file already.",)
    assert contents(data) == before


def test_equal_throws_with_their_own_ids_all_count(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store:
        bring(store, tmp_path, whole(THROW))
        brought = bring(store, tmp_path, whole(THROW, THROW.replace("a-1", "a-9")))
        assert brought.count == 1
        assert len(store.throws.all()) == 2


def test_a_round_that_went_on_is_brought_up_to_date(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store:
        bring(store, tmp_path, whole(ROUND))
        brought = bring(store, tmp_path, whole(ROUND.replace("1:3", "1:3,2:4")))
        assert brought.notices == ("1 entry brought up to date.",)
        ((_, played),) = store.rounds.all()
        assert [(one.hole, one.strokes) for one in played.scores] == [("1", 3), ("2", 4)]
        (row,) = list_evidence(store, kind="round")
        assert len(row.earlier) == 1  # what it said before is kept


def test_what_was_deleted_here_stays_deleted(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store:
        bring(store, tmp_path, whole(THROW, ROUND))
        (gone,) = list_evidence(store, kind="throw")
        (played,) = list_evidence(store, kind="round")
        delete_evidence(store, [gone.id, played.id], NOW)
        brought = bring(store, tmp_path, whole(THROW, ROUND.replace("1:3", "1:4")))
        assert brought.count == 0
        assert brought.notices[-1] == "1 entry that you deleted here left out."
        assert words_of(store) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (whole(THROW, PUTT)[:-30], "not whole"),
        (whole(THROW, PUTT).replace("61.4", "16.4"), "not whole"),
        ("\n".join(whole(THROW, PUTT).splitlines()[:2]), "not whole"),
        ("rimwise phone log 9\nend|0|00000000\n", "this version knows"),
        (whole("knock|x|2026-11-26|1"), "line 2: this is no entry"),
        (whole(THROW, "putts|x"), "line 3: this is no entry"),
        (whole(THROW.replace("nh27-blue", "nobody")), "phone.txt, line 2: no disc"),
        (whole(PUTT, THROW.replace("2026-11-26", "2027-01-01")), "phone.txt, line 3"),
        (whole(THROW.replace("61.4", "1e9")), "the distance is '1e9'"),
        (whole(ROUND.replace("1:3", "9:3")), "line 2"),
        (whole(ROUND.replace("1:3", "1:0")), "strokes on hole 1"),
        (whole(PUTT.replace("6.4", "400")), "putting distance"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line_and_nothing_is_kept(
    data: Path, tmp_path: Path, text: str, said: str
) -> None:
    with open_store(data) as store:
        with pytest.raises(InputError, match=said.replace("(", r"\(")):
            bring(store, tmp_path, text)
        assert words_of(store) == []
        assert store.settings.get("phone_entries", None) is None


def test_the_good_entries_can_be_kept_alone(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store:
        text = whole(THROW.replace("nh27-blue", "nobody"), PUTT)
        brought = bring(store, tmp_path, text, keep_good=True)
        assert brought.words == "1 putt from phone.txt."
        assert "nobody" in brought.notices[-1]


def test_a_name_that_says_another_kind_is_answered(data: Path, tmp_path: Path) -> None:
    with open_store(data) as store, pytest.raises(InputError, match="--kind phone"):
        bring(store, tmp_path, whole(THROW), kind="throws")


def test_the_command_takes_it(data: Path, tmp_path: Path, cli) -> None:
    path = tmp_path / "from-phone.txt"
    today = date.today().isoformat()
    path.write_text(whole(*(one.replace("2026-11-26", today) for one in (THROW, PUTT))))
    done = cli("--data", data, "import", path)
    assert done.code == 0, done.err
    assert "1 throw and 1 putt from from-phone.txt." in done.out
    again = cli("--data", data, "import", path, "--json")
    assert '"count": 0' in again.out
