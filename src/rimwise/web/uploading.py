"""Files sent to a page, and tables typed into one, as files that the use cases read."""

from __future__ import annotations

import tempfile
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from rimwise.errors import InputError

__all__ = ["Upload", "Uploaded", "as_file"]

#: File names may have 255 bytes on most disks; some are for a folder's own use.
_LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it was sent, and what its owner says it is; ``pasted`` when no file was chosen."""

    name: str
    content: bytes
    typed: Mapping[str, str]
    pasted: bool = False


async def _uploaded(request: Request) -> Upload:
    """Return the file that was sent, or what was pasted instead of one."""
    async with request.form(max_files=1, max_fields=20) as form:
        typed = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
        file = form.get("file")
        if not isinstance(file, UploadFile) or not file.filename:
            pasted = typed.get("pasted", "")
            return Upload("pasted.txt" if pasted else "", pasted.encode(), typed, pasted=True)
        return Upload(_safe_name(file.filename), await file.read(), typed)


def _safe_name(name: str) -> str:
    """Return a file name without folders, and without letters that hide or turn others round."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    seen = "".join(one for one in last if unicodedata.category(one)[0] != "C").strip(" .")
    stem, dot, ending = seen.rpartition(".")
    ending = (dot + ending)[:12] if stem else ""
    short = (stem or seen).encode()[:_LONGEST_NAME].decode(errors="ignore")
    return (short or "upload") + ending


Uploaded = Annotated[Upload, Depends(_uploaded)]


@contextmanager
def as_file(upload: Upload) -> Iterator[Path]:
    """Write an upload into a folder that is gone afterwards; errors do not name the folder."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / upload.name
        path.write_bytes(upload.content)
        try:
            yield path
        except InputError as error:
            raise InputError(str(error).replace(f"{folder}/", "")) from None
