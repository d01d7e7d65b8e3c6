"""Whatever is typed after `rimwise`: exit code 0, 1 or 2, a reason with 1, and no traceback."""

from __future__ import annotations

import random
import shlex
import shutil
from functools import cache
from pathlib import Path

import pytest
import typer

from fuzzing import LONG, PARSERS, TOKENS, changed_at_random
from rimwise.store import opening

#: Sound commands on a planned season; FILE is a file that is made for each, of the kind named.
QUICK = """
discs
discs --json --all
discs --set nh27-gold status=lost
discs --set nh27-blue note='left of the pond'
import FILE:discs
import FILE:discs --keep-good --json
import FILE:plastics
import FILE:conditions --name days
import FILE:osm --name heath
import FILE:geojson
import FILE:pbf
import FILE:'course table'
import FILE:thrower
import FILE:cart
import FILE:putts
import FILE:'own throws'
assume
assume --set lost_disc_strokes 0.2
log throw nh27-gold '64m 5L' --on 2026-03-01
log throw nh27-gold '12m left of the basket, 25m to go' --length 95m
log compare 'nh27-blue slightly more stable than nh27-gold'
log grip nh27-gold 'cold wet' 3.5
log wear nh27-gold worn --on yesterday
log knock nh27-gold tree
log putts 3m 17/20 5m 9/20
log list
log delete t1
weather
weather days --plain '4C wet wind 5m/s' --from SW
weather nights --climate FILE:climate --months Nov-Dec --days 2
weather fore --report 'TAF EHAM 251130Z 2512/2618 22015G25KT 9999 -RA TX08/2514Z TNM02/2606Z'
weather rep --report 'METAR EHAM 141825Z 18010KT 2700 BR 04/04 Q1024' --elevation 120m
weather winter --json
course
course course --json
course course --add FILE:strips
history
history --json
undo
backup
carry list
carry keep league --like winter --for winter
carry show winter
records check
share winter
share winter --markdown
why nh27-gold
why --json
fly nh27-gold --effort 0.8 --wind 5 --wind-from 270
fly nh27-gold nh27-blue --hyzer 10 --launch 12 --json
devices
devices --revoke all
serve --port 8765
serve --share --on 192.168.1.20
pack winter
sheet winter --out sheet.html
init --hand right --fairway 90m --level advanced
init --help
--version
"""
#: Those that work something out for long when they are left as they are.
SLOW = """
plan winter --limit 4 --must nh27-gold
plan summer --keep winter --price 0.1
learnt nh27-gold
swap winter summer
wear
putting
gaps winter
lost nh27-gold winter
rule winter
how-many winter --most 5
check
wish FILE:discs winter
"""
#: No command may leave the folder that a test gives it.
SAFE_TOKENS = tuple(token for token in TOKENS if not token.startswith(("/", "..")))


def mutated(words: list[str], chance: random.Random) -> list[str]:
    """Return the words of a command after up to two changes; its name is seldom changed."""
    words = list(words)
    for _ in range(chance.choice((0, 1, 1, 2))):
        at = chance.randrange(len(words)) if chance.random() < 0.1 else -1
        at = at if at >= 0 or len(words) < 2 else chance.randrange(1, len(words))
        change = chance.randrange(8)
        if change == 0:
            words[at] = chance.choice(SAFE_TOKENS)
        elif change == 1:
            words.insert(at, chance.choice(SAFE_TOKENS))
        elif change == 2 and len(words) > 1:
            del words[at]
        elif change == 3:
            words.insert(at, words[at])
        elif not words[at].startswith("FILE:"):
            said = changed_at_random(words[at].encode(), chance).decode("utf-8", "replace")
            words[at] = said if said.count("/") <= words[at].count("/") else said.replace("/", "|")
    return [word.replace("\0", "\ufffd") for word in words]  # no program can be given a zero


def with_files(words: list[str], chance: random.Random, folder: Path) -> list[str]:
    """Put files in the place of what stands for them, changed half of the time."""
    put = []
    for word in words:
        kind = word.removeprefix("FILE:")
        if kind == word or kind not in PARSERS:
            put.append(word)
            continue
        data = chance.choice(PARSERS[kind].samples)
        data = changed_at_random(data, chance) if chance.random() < 0.5 else data
        ending = {"pbf": ".osm.pbf", "osm": ".osm", "geojson": ".geojson", "thrower": ".json",
                  "cart": ".json"}.get(kind, ".csv")  # fmt: skip
        path = folder / f"given{ending}"
        path.write_bytes(data)
        put.append(path.name)
    return put


def commands(seed: int, count: int) -> list[tuple[int, list[str]]]:
    quick, slow = (
        [shlex.split(line) for line in lines.strip().splitlines()] for lines in (QUICK, SLOW)
    )
    chance = random.Random(seed)  # noqa: S311 - no secret
    chosen = quick + (slow if LONG else [])
    return [(chance.randrange(1 << 30), chance.choice(chosen)) for _ in range(count)]


@pytest.fixture(autouse=True)
def _once_built(monkeypatch):
    """Build the commands once: half of the time of a short command is building all of them."""
    monkeypatch.setattr(typer.main, "get_command", cache(typer.main.get_command))
    monkeypatch.setattr("rimwise.web.server.serve_on", lambda *_, ready: ready())


@pytest.fixture
def logged(cli, season) -> Path:
    """Return a planned season with a throw to delete and to undo."""
    assert cli("--data", season, "log", "throw", "nh27-gold", "64m 5L").code == 0
    return season


@pytest.mark.usefixtures("rough")
@pytest.mark.parametrize("seed", range(20 if LONG else 16))
def test_any_words_end_in_an_answer(cli, logged, tmp_path, monkeypatch, seed):
    ends: dict[object, int] = {}
    data = logged
    for turn, (number, words) in enumerate(commands(seed, 500 if LONG else 200)):
        if turn % 50 == 0:  # what was changed so far would hide the rest
            work = tmp_path / f"work-{turn}"
            work.mkdir()
            monkeypatch.chdir(work)
            data = Path(shutil.copy(logged, work / "season.db"))
        chance = random.Random(number)  # noqa: S311
        said_words = with_files(mutated(words, chance), chance, work)
        said = cli("--data", data.name, *said_words)
        told = f"rimwise {shlex.join(said_words)}\n{said.out[-300:]}\n{said.err[-500:]}"
        assert said.code in (0, 1, 2), told
        assert "Traceback" not in said.out + said.err, told
        assert said.code == 0 or said.err.strip(), told
        ends[said.code] = ends.get(said.code, 0) + 1
        opening.open_store(data).close()
    assert min(ends.get(code, 0) for code in (0, 1, 2)) > 10, ends


def test_each_command_is_sound_as_it_stands(cli, logged, tmp_path, monkeypatch):
    """Else its changes would try the first check only."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(f"{__name__}.changed_at_random", lambda data, _: data)
    chance = random.Random(2)  # noqa: S311
    for line in QUICK.strip().splitlines():
        shutil.copy(logged, "data.db")
        said = cli("--data", "data.db", *with_files(shlex.split(line), chance, tmp_path))
        assert said.code == 0, (line, said.err[-300:])
