"""A disk as a power cut may leave it, made from what strace saw of a program's requests."""

from __future__ import annotations

import random
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["Disk", "Event", "events_of"]

_SECTOR = 512
_SHARED = "-shm"
_CALL = re.compile(r"(\w+)\((.*)\)\s+= (-?\d+)(?:<(.*?)>)?", re.DOTALL)
_HEX = re.compile(r"\\x([0-9a-f]{2})")


@dataclass(frozen=True, slots=True)
class Event:
    """One request: what, of which file, and where it goes or what is written."""

    what: str
    path: Path
    at: int = 0
    data: bytes = b""
    to: Path = Path()


@dataclass(slots=True, eq=False)
class _File:
    """What is on the disk for sure, and what was written and not flushed."""

    kept: bytearray
    pending: list[tuple[int, bytes | None]] = field(default_factory=list)

    def now(self) -> bytearray:
        """Return what a reader sees."""
        return _applied(self.kept, self.pending)

    def flush(self) -> None:
        """Put everything on the disk."""
        self.kept, self.pending = self.now(), []

    def left(self, chance: random.Random) -> bytearray:
        """Return what a cut leaves: of what is pending none, all, the first or any sectors."""
        pieces = [piece for one in self.pending for piece in _sectors(*one)]
        way = chance.choice(("none", "all", "first", "any", "any"))
        if way == "none":
            pieces = []
        elif way == "first":
            pieces = pieces[: chance.randrange(len(pieces) + 1)]
        elif way == "any":
            pieces = [piece for piece in pieces if chance.random() < 0.5]
        return _applied(self.kept, pieces)


def _applied(content: bytearray, pieces: list[tuple[int, bytes | None]]) -> bytearray:
    content = bytearray(content)
    for at, data in pieces:
        if data is None:  # cut or stretched to a length
            content = content[:at].ljust(at, b"\0")
            continue
        if len(content) < at:
            content = content.ljust(at, b"\0")
        content[at : at + len(data)] = data
    return content


def _sectors(at: int, data: bytes | None) -> Iterator[tuple[int, bytes | None]]:
    """Split a write where sectors end."""
    if data is None:
        yield at, None
        return
    begin = 0
    while begin < len(data):
        end = min(len(data), begin + _SECTOR - (at + begin) % _SECTOR)
        yield at + begin, data[begin:end]
        begin = end


#: A change of names in a folder: what goes, and what comes with its file (none: a folder).
_Change = tuple[Path | None, Path | None, _File | None]


class Disk:
    """A folder tree with what is flushed and what is not.

    Parameters
    ----------
    folder
        Read as it is now; all of it counts as flushed.
    """

    def __init__(self, folder: Path) -> None:
        self._names: dict[Path, _File | None] = {folder: None}
        for path in folder.rglob("*"):
            self._names[path] = None if path.is_dir() else _File(bytearray(path.read_bytes()))
        self._kept = dict(self._names)
        self._pending: dict[Path, list[_Change]] = {}

    @property
    def unflushed(self) -> bool:
        """Whether a cut now may leave one thing or another."""
        files = (file for path, file in self._names.items() if not path.name.endswith(_SHARED))
        return any(file is not None and file.pending for file in files) or any(
            self._pending.values()
        )

    def take(self, event: Event) -> None:
        """Do what was requested."""
        getattr(self, f"_{event.what}")(event)

    def leave(self, folder: Path, chance: random.Random) -> None:
        """Write what a power cut would leave in the place of the folder."""
        names = dict(self._kept)
        for changes in self._pending.values():
            for gone, come, file in changes[: chance.randrange(len(changes) + 1)]:
                _change(names, gone, come, file)
        shutil.rmtree(folder)
        for path, file in sorted(names.items()):
            if path != folder and path.parent not in names:
                continue  # in a folder whose own name was not flushed
            if file is None:
                path.mkdir()
            elif path.name.endswith(_SHARED):
                path.write_bytes(chance.randbytes(32_768))
            else:
                path.write_bytes(file.left(chance))

    # -- requests -----------------------------------------------------------------------------

    def _open(self, event: Event) -> None:
        if event.path not in self._names:
            self._rename_in(event.path.parent, (None, event.path, _File(bytearray())))
        if event.at:
            self._truncate(Event("truncate", event.path))

    def _write(self, event: Event) -> None:
        self._file(event.path).pending.append((event.at, event.data))

    def _copy(self, event: Event) -> None:
        source = self._names.get(event.path)
        content = event.path.read_bytes() if source is None else bytes(source.now())
        length = int.from_bytes(event.data, "big")
        self._file(event.to).pending.append((event.at, content[event.at : event.at + length]))

    def _truncate(self, event: Event) -> None:
        self._file(event.path).pending.append((event.at, None))

    def _flush(self, event: Event) -> None:
        file = self._names.get(event.path)
        if file is not None:
            file.flush()
            return
        for gone, come, held in self._pending.pop(event.path, []):
            _change(self._kept, gone, come, held)

    def _unlink(self, event: Event) -> None:
        self._rename_in(event.path.parent, (event.path, None, None))

    def _rename(self, event: Event) -> None:
        self._rename_in(event.to.parent, (event.path, event.to, self._names[event.path]))

    def _mkdir(self, event: Event) -> None:
        self._rename_in(event.path.parent, (None, event.path, None))

    def _file(self, path: Path) -> _File:
        file = self._names[path]
        if file is None:
            raise ValueError(f"{path} is a folder")
        return file

    def _rename_in(self, folder: Path, change: _Change) -> None:
        _change(self._names, *change)
        self._pending.setdefault(folder, []).append(change)


def _change(
    names: dict[Path, _File | None], gone: Path | None, come: Path | None, file: _File | None
) -> None:
    if gone is not None:
        names.pop(gone, None)
    if come is not None:
        names[come] = file


# -- what strace wrote ----------------------------------------------------------------------------


def events_of(trace: Path, folder: Path, told: Path) -> Iterator[Event]:
    """Yield the requests that concern a folder or what is told, in their order."""
    ends: dict[Path, int] = {}
    with trace.open("r", encoding="ascii") as lines:
        for line in lines:
            call = _CALL.match(line)
            if call is None or int(call[3]) < 0:
                continue
            name, words, result, opened = call.groups()
            event = _event(name, _arguments(words), int(result), opened, ends)
            if event is None:
                continue
            if event.path == told and event.what == "write":
                yield Event("told", told, data=event.data)
            changed = event.to if event.what in ("copy", "rename") else event.path
            if changed == folder or folder in changed.parents:
                yield event


def _event(
    name: str, words: list[str], result: int, opened: str | None, ends: dict[Path, int]
) -> Event | None:
    if name == "openat":
        path = Path(_text(opened or ""))
        ends[path] = 0
        if "O_CREAT" not in words[2]:
            return None
        return Event("open", path, at=int("O_TRUNC" in words[2]))
    if name in ("fsync", "fdatasync"):
        return Event("flush", _path(words[0]))
    if name == "ftruncate":
        return Event("truncate", _path(words[0]), at=int(words[1], 0))
    if name in ("write", "pwrite64"):
        path, data = _path(words[0]), _bytes(words[1])[:result]
        at = int(words[3], 0) if name == "pwrite64" else ends.get(path, 0)
        ends[path] = at + len(data)
        return Event("write", path, at=at, data=data)
    if name == "sendfile":
        at = int(words[2].strip("[]").split("]")[0], 0)
        length = result.to_bytes(8, "big")
        return Event("copy", _path(words[1]), at=at, data=length, to=_path(words[0]))
    if name == "rename":
        return Event("rename", Path(_text(words[0])), to=Path(_text(words[1])))
    if name == "unlinkat":
        return Event("unlink", _path(words[0]) / _text(words[1]))
    kind = "mkdir" if name == "mkdir" else "unlink"
    return Event(kind, Path(_text(words[0])))


def _arguments(words: str) -> list[str]:
    """Split the arguments of a call; strings and paths are in hexadecimals, so no comma is one."""
    return words.split(", ")


def _path(word: str) -> Path:
    """Return the path of a file by its number, as in ``5<...>``."""
    return Path(_text(word[word.find("<") + 1 : word.rfind(">")]))


def _text(word: str) -> str:
    return _bytes(word).decode()


def _bytes(word: str) -> bytes:
    return bytes(int(pair, 16) for pair in _HEX.findall(word))
