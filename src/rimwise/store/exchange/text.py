"""From the bytes of a file to text: size, binary files, encodings."""

from __future__ import annotations

from rimwise.errors import InputError
from rimwise.store.exchange.problems import Problem

__all__ = ["LARGEST_BYTES", "LARGEST_LOG_BYTES", "read_text"]

#: Larger files are no list of somebody's discs (5 MB), and no log of twenty years (25 MB).
LARGEST_BYTES, LARGEST_LOG_BYTES = 5_000_000, 25_000_000

_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")


def read_text(
    data: str | bytes, name: str, most_bytes: int = LARGEST_BYTES
) -> tuple[str, list[Problem]]:
    """Return the text of a file, and a notice when its encoding had to be guessed.

    UTF-8 and UTF-16 with a byte order mark and plain UTF-8 are read as such; anything else
    that looks like text is read as Latin-1.

    Parameters
    ----------
    data
        Content of the file, or text pasted by the user.
    name
        Name of the file, for messages.
    most_bytes
        A larger one is refused.

    Raises
    ------
    InputError
        When the file is empty, too large, or no text.
    """
    if len(data) > most_bytes:
        raise InputError(
            f"{name} is larger than {most_bytes // 1_000_000} MB; "
            "give a file with only the rows you need."
        )
    text, notices = (data, []) if isinstance(data, str) else _decode(data, name)
    text = text.removeprefix("\ufeff")
    if "\x00" in text:
        raise _no_text(name)
    if not text.strip():
        raise InputError(f"{name} is empty; give a file with at least one row.")
    return text, notices


def _decode(data: bytes, name: str) -> tuple[str, list[Problem]]:
    if data[:4] == b"PK\x03\x04":
        raise InputError(
            f"{name} looks like a spreadsheet or zip file; "
            "in the spreadsheet program, save it as CSV (UTF-8) and give that."
        )
    encoding = "utf-16" if data[:2] in _UTF16_MARKS else "utf-8"
    try:
        return data.decode(encoding), []
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if any(ord(letter) < 32 and letter not in "\t\n\r\f" for letter in text):
        raise _no_text(name)
    notice = Problem(
        name,
        0,
        "",
        "the file is not UTF-8 and was read as Latin-1",
        "check the accented letters, and save it as UTF-8 if they look wrong",
    )
    return text, [notice]


def _no_text(name: str) -> InputError:
    return InputError(f"{name} is not a text file; save the table as CSV (UTF-8) and give that.")
