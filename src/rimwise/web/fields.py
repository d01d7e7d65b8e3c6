"""Fields of forms: what is asked, and what is wrong beside the field it is wrong in."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from rimwise.errors import InputError, RimwiseError
from rimwise.records.evidence_words import length_in
from rimwise.records.words import Units
from rimwise.web.wording import examples_in, in_page_words

__all__ = [
    "Field", "FieldError", "StaleError", "about", "choice", "decimal", "labelled_in", "length",
    "mark_of", "told_wrong",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form.

    Parameters
    ----------
    kind
        ``text``, ``whole`` or ``decimal`` (a number pad on a phone), ``select``, ``disc`` (free,
        with the discs on file offered), ``discs`` (several of them, commas between), ``day``,
        ``lines`` (several lines) or ``file``.
    choices
        Pairs (value, words) of a ``select``.
    """

    name: str
    label: str
    kind: str = "text"
    choices: tuple[tuple[str, str], ...] = ()


class FieldError(InputError):
    """Something is wrong in one field; an empty name means the whole form."""

    def __init__(self, field: str, told: object) -> None:
        super().__init__(in_page_words(told))
        self.field = field


class StaleError(InputError):
    """What is edited was changed elsewhere since the page was loaded."""


@contextmanager
def about(field: str) -> Iterator[None]:
    """Say of what goes wrong inside that it is this field's."""
    try:
        yield
    except FieldError:
        raise
    except RimwiseError as error:
        raise FieldError(field, error) from None


def labelled_in(units: Units, fields: Sequence[Field]) -> tuple[Field, ...]:
    """Return fields whose labels have their examples in what the owner thinks in."""
    return tuple(replace(one, label=examples_in(one.label, units)) for one in fields)


def told_wrong(error: RimwiseError, field: str = "", units: Units = "m") -> dict[str, str]:
    """Return what is wrong by the field it is wrong in; ``field`` where the error names none.

    Examples of what to type are in ``units``.
    """
    told = examples_in(in_page_words(error), units)
    return {error.field if isinstance(error, FieldError) else field: told}


def decimal(
    typed: Mapping[str, str], field: str, what: str, *, instead: str, empty: float | None = None
) -> float | None:
    """Return a number that was typed, a comma taken for a point; ``empty`` for nothing.

    Raises
    ------
    FieldError
        When it is no number; ``instead`` says what to type.
    """
    text = typed.get(field, "").replace(",", ".").replace("−", "-")
    if not text:
        return empty
    try:
        value = float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FieldError(field, f"{what} must be a number, but is {text[:40]!r}; {instead}.")
    return value


def length(
    typed: Mapping[str, str], field: str, what: str, units: Units, *, such: str
) -> float | None:
    """Return a length that was typed in the page's units or its own ("85m"), as metres.

    Raises
    ------
    FieldError
        When it is no length; ``such`` is one to type.
    """
    text = typed.get(field, "").strip()
    if not text:
        return None
    try:
        return length_in(text, what, units)
    except InputError:
        raise FieldError(
            field, f"{what} must be a number, but is {text[:40]!r}; write one such as {such}."
        ) from None


def choice(typed: Mapping[str, str], field: str, what: str, known: Mapping[str, object]) -> str:
    """Return what was chosen.

    Raises
    ------
    FieldError
        When it is none of what there is to choose from.
    """
    value = typed.get(field, "")
    if value not in known:
        told = ", ".join(one for one in known if one)
        raise FieldError(field, f"{what} must be one of {told}, but is {value[:40]!r}.")
    return value


def mark_of(record: object) -> str:
    """Return a short mark that differs whenever anything about a record does."""
    return hashlib.sha256(repr(record).encode()).hexdigest()[:16]
