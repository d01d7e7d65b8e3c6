"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from rimwise.errors import StoreError

__all__ = ["Written", "write_bytes", "write_whole"]


@dataclass(frozen=True, slots=True)
class Written:
    """A file that was written."""

    path: str
    size_bytes: int


def write_whole(path: Path, text: str, encoding: str = "utf-8") -> Written:
    """Write a file beside its place first, then into it, so that no half file is left.

    Raises
    ------
    StoreError
        When it cannot be written.
    """
    return write_bytes(path, text.encode(encoding))


def write_bytes(path: Path, data: bytes) -> Written:
    """Write a file of bytes whole or not at all, as :func:`write_whole` does text.

    Raises
    ------
    StoreError
        When it cannot be written.
    """
    partial: Path | None = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
            partial = Path(file.name)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        partial.chmod(0o644)
        partial.replace(path)
    except OSError as error:
        if partial is not None:
            partial.unlink(missing_ok=True)
        raise StoreError(
            f"{path} cannot be written ({error.strerror or error}); choose another place."
        ) from None
    return Written(str(path), len(data))
