"""Gathering problems and notices while a file is read to its end."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from rimwise.errors import InputError
from rimwise.store.exchange.problems import CellError, Problem

__all__ = ["Collector"]

T = TypeVar("T")


class Collector:
    """The problems and notices of one file, in the order they were found."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.notices: list[Problem] = []
        self._bad_lines: set[int] = set()

    def problem(self, line: int, field: str, wrong: str, instead: str) -> None:
        """Note something that keeps its row from being used."""
        self.problems.append(Problem(self.file, line, field, wrong, instead))
        self._bad_lines.add(line)

    def notice(self, line: int, field: str, wrong: str, instead: str) -> None:
        """Note something worth knowing."""
        self.notices.append(Problem(self.file, line, field, wrong, instead))

    def add_problems(self, problems: Iterable[Problem]) -> None:
        """Note problems that another reader of the same file found."""
        for problem in problems:
            self.problems.append(problem)
            self._bad_lines.add(problem.line)

    def attempt(self, line: int, field: str, read: Callable[[], T]) -> T | None:
        """Return what ``read`` returns, or note its complaint and return ``None``."""
        try:
            return read()
        except CellError as error:
            self.problem(line, field, error.wrong, error.instead)
        except InputError as error:
            wrong, _, instead = str(error).rstrip(".").partition("; ")
            self.problem(line, field, wrong, instead or "correct it")
        return None

    def is_bad(self, line: int) -> bool:
        """Return whether a row has a problem."""
        return line in self._bad_lines

    def in_order(self) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
        """Return the problems and the notices, by line."""
        return (
            tuple(sorted(self.problems, key=lambda found: found.line)),
            tuple(sorted(self.notices, key=lambda found: found.line)),
        )
