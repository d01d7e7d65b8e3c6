"""What is wrong in a file, where, and what to type instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.errors import InputError

__all__ = ["CellError", "Problem", "refuse"]

#: How many problems one message lists before it counts the rest.
SHOWN = 8


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong, or worth knowing, in a file.

    Parameters
    ----------
    file
        Name of the file as the user gave it.
    line
        Line in the file, counted from 1; 0 for the file as a whole.
    field
        Column or part of the line; empty when the whole line is meant.
    wrong
        What was wrong, as a clause ("speed is 40").
    instead
        What to type or do instead, as a clause ("printed speeds go from 1 to 15").
    """

    file: str
    line: int
    field: str
    wrong: str
    instead: str

    def __str__(self) -> str:
        """Return the sentence for the user."""
        where = f"{self.file}, line {self.line}" if self.line else self.file
        return f"{where}: {self.wrong}; {self.instead}."


class CellError(Exception):
    """A cell that cannot be read; its row turns it into a :class:`Problem`."""

    def __init__(self, wrong: str, instead: str) -> None:
        super().__init__(f"{wrong}; {instead}")
        self.wrong = wrong
        self.instead = instead


def refuse(problems: Sequence[Problem]) -> None:
    """Raise what stands in the way of an import, if anything does.

    Raises
    ------
    InputError
        When there is a problem; its text lists them, and says that nothing was saved.
    """
    if not problems:
        return
    listed = [str(problem) for problem in problems[:SHOWN]]
    if len(problems) > SHOWN:
        listed.append(f"… and {len(problems) - SHOWN} more.")
    raise InputError("\n".join([*listed, "Nothing was saved."]))
