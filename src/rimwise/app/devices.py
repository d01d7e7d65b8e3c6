"""The owner's devices that may use the pages over the home network.

Each is a small file beside the data file and not in it: a backup that is restored brings no
revoked device back, a data file that is handed on lets nobody in, and one device's file is made
and removed without touching another's.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import re
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from rimwise.app.files import write_whole
from rimwise.errors import NotFoundError, StoreError

__all__ = ["LASTS_DAYS", "Device", "Devices"]

#: A device is asked for a code again after half a year.
LASTS_DAYS = 182
#: A device's number is the beginning of its secret's digest.
_ID_LENGTH = 8
_LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class Device:
    """A paired device: its number, what its owner calls it, the day it was paired."""

    id: str
    name: str
    paired_on: date


class Devices:
    """The devices that were paired for one data file.

    Parameters
    ----------
    data
        The data file; the devices' files lie beside it, in a folder that is made when needed.
    """

    def __init__(self, data: Path) -> None:
        place = data.expanduser()
        self._folder = place.with_name(f"{place.name}.devices")

    def all(self) -> tuple[Device, ...]:
        """Return every paired device, the latest first; a file that is none of ours is passed."""
        found = [kept[0] for path in self._folder.glob("*.json") if (kept := self._read(path))]
        return tuple(sorted(found, key=lambda one: (one.paired_on, one.id), reverse=True))

    def add(self, secret: str, name: str, on: date) -> Device:
        """Keep a device by the digest of its secret, which has at least 128 random bits.

        Raises
        ------
        StoreError
            When it cannot be written.
        """
        digest = _digest(secret)
        seen = "".join(one for one in name if one.isprintable()).strip()[:_LONGEST_NAME]
        device = Device(digest[:_ID_LENGTH], seen or "phone", on)
        try:
            self._folder.mkdir(mode=0o700, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"the folder {self._folder} cannot be made ({error.strerror}); nothing was paired."
            ) from None
        record = {"name": device.name, "paired_on": on.isoformat(), "sha256": digest}
        write_whole(self._folder / f"{device.id}.json", json.dumps(record))
        return device

    def holder_of(self, secret: str, today: date) -> Device | None:
        """Return the device that holds a secret, ``None`` when no paired one does."""
        digest = _digest(secret)
        kept = self._read(self._folder / f"{digest[:_ID_LENGTH]}.json")
        if kept is None or not hmac.compare_digest(digest, kept[1]):
            return None
        return kept[0] if today < kept[0].paired_on + timedelta(LASTS_DAYS) else None

    def revoke(self, number: str) -> Device:
        """Forget a device: what it asks from now on is refused.

        Raises
        ------
        NotFoundError
            When no device has that number.
        StoreError
            When its file cannot be removed.
        """
        path = self._folder / f"{number}.json"
        kept = self._read(path) if re.fullmatch(r"[0-9a-f]{8}", number) else None
        if kept is None:
            raise NotFoundError(f"no paired device has the number {number[:40]!r}.")
        device = kept[0]
        try:
            path.unlink()
        except OSError as error:
            raise StoreError(
                f"{path} cannot be removed ({error.strerror}), so that {device.name} is paired "
                "still; remove that file by hand."
            ) from None
        return device

    def _read(self, path: Path) -> tuple[Device, str] | None:
        """Return a device and the digest of its secret; ``None`` where no file is a device's."""
        try:
            kept = json.loads(path.read_text(encoding="utf-8"))
            digest, on = str(kept["sha256"]), date.fromisoformat(str(kept["paired_on"]))
            device = Device(path.stem, str(kept["name"]), on)
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return (device, digest) if digest.isascii() and digest.startswith(path.stem) else None


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
