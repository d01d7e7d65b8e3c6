"""How a frozen record becomes a row, and a row the same record again.

The columns follow from the record's fields and their types: a plain value is one column of
the same name; a small record inside (printed numbers, a grip, a line) is one column for each
of its fields; anything else is one column of JSON text. A field whose members live in a table
of their own is left out here.
"""

from __future__ import annotations

import json
import math
import operator
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from types import NoneType
from typing import TYPE_CHECKING, Any, Generic, TypeVar, get_args, get_type_hints

from rimwise.errors import InputError
from rimwise.records.discs import Weight, WeightRelativeTo

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = ["Field", "RowMap", "SqlValue", "row_map", "scalar_map"]

#: What SQLite keeps in one cell.
SqlValue = str | int | float | None

T = TypeVar("T")

#: SQLite keeps integers in 64 bits with a sign.
_LARGEST_INTEGER = 2**63 - 1


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a record: its columns and the way there and back."""

    name: str
    columns: tuple[str, ...]
    encode: Callable[[Any], tuple[SqlValue, ...]]
    decode: Callable[[Sequence[SqlValue]], Any]


@dataclass(frozen=True, slots=True)
class RowMap(Generic[T]):
    """The columns of a record type, in the order of its fields."""

    build: Callable[[dict[str, Any]], T]
    take: Callable[[T, str], Any]
    fields: tuple[Field, ...]

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of the columns."""
        return tuple(column for field in self.fields for column in field.columns)

    def encode(self, record: T) -> tuple[SqlValue, ...]:
        """Return the cells of one record."""
        return tuple(
            cell for field in self.fields for cell in field.encode(self.take(record, field.name))
        )

    def decode(self, cells: Sequence[SqlValue], **members: tuple[Any, ...]) -> T:
        """Return the record of one row, with the ``members`` kept in other tables."""
        values: dict[str, Any] = dict(members)
        start = 0
        for field in self.fields:
            end = start + len(field.columns)
            values[field.name] = field.decode(cells[start:end])
            start = end
        return self.build(values)


def row_map(record: type[T], *, without: Iterable[str] = ()) -> RowMap[T]:
    """Return the row map of a record type, less the fields named in ``without``."""
    left_out = frozenset(without)
    hints = get_type_hints(record)
    names = [field.name for field in fields(record) if field.name not in left_out]  # type: ignore[arg-type]
    return RowMap(
        build=lambda values: record(**values),
        take=getattr,
        fields=tuple(_field(name, hints[name]) for name in names),
    )


def scalar_map(column: str) -> RowMap[str]:
    """Return the row map of a bare text kept in one column."""
    return RowMap(
        build=lambda values: str(values[column]),
        take=lambda text, _: text,
        fields=(_field(column, str),),
    )


def _field(name: str, hint: Any) -> Field:
    """Choose how a field of this type is kept."""
    if hint == Weight | WeightRelativeTo:
        return _weight_field(name)
    bare, optional = _without_none(hint)
    if isinstance(bare, type) and issubclass(bare, (bool, int, float, str, date, Enum)):
        return _plain_field(name, bare, optional=optional)
    if isinstance(bare, type) and is_dataclass(bare) and not optional:
        return _nested_field(name, bare)
    return _json_field(name, hint, optional=optional)


def _without_none(hint: Any) -> tuple[Any, bool]:
    """Split ``X | None`` into ``X`` and whether ``None`` is allowed."""
    choices = get_args(hint)
    if NoneType not in choices:
        return hint, False
    others = [choice for choice in choices if choice is not NoneType]
    return (others[0] if len(others) == 1 else hint), True


def _plain_field(name: str, kind: type, *, optional: bool) -> Field:
    def encode(value: Any) -> tuple[SqlValue, ...]:
        return (None if optional and value is None else _cell(name, kind, value),)

    def decode(cells: Sequence[SqlValue]) -> Any:
        value: Any = cells[0]
        if value is None:
            return None
        return date.fromisoformat(value) if kind is date else kind(value)

    return Field(name, (name,), encode, decode)


def _cell(name: str, kind: type, value: Any) -> SqlValue:
    """Return the value as SQLite keeps it, refusing what would come back changed."""
    if kind is date:
        return str(value.isoformat())
    if issubclass(kind, Enum):
        return str(kind(value).value)
    if kind is float:
        number = float(value)
        if not math.isfinite(number):
            raise InputError(f"{name} must be a finite number, but is {number}.")
        return number
    if issubclass(kind, int):
        whole = operator.index(value)
        if abs(whole) > _LARGEST_INTEGER:
            raise InputError(f"{name} is {whole}; give a whole number of at most 18 digits.")
        return whole
    return _text(name, value)


def _text(name: str, value: str) -> str:
    """Return the text, or say that it holds what no file can keep."""
    try:
        value.encode()
    except UnicodeEncodeError:
        raise InputError(f"{name} holds a broken character; type it anew.") from None
    return str(value)


def _nested_field(name: str, kind: type) -> Field:
    inner: RowMap[Any] = row_map(kind)
    return Field(
        name,
        tuple(f"{name}_{column}" for column in inner.columns),
        inner.encode,
        inner.decode,
    )


def _json_field(name: str, hint: Any, *, optional: bool) -> Field:
    def encode(value: Any) -> tuple[SqlValue, ...]:
        if optional and value is None:
            return (None,)
        try:
            text = json.dumps(_adapter(hint).dump_python(value), allow_nan=False)
        except ValueError:
            raise InputError(f"{name} must hold finite numbers only.") from None
        return (text,)

    def decode(cells: Sequence[SqlValue]) -> Any:
        text = cells[0]
        return None if text is None else _adapter(hint).validate_python(json.loads(str(text)))

    return Field(name, (name,), encode, decode)


@cache
def _adapter(hint: Any) -> TypeAdapter[Any]:
    # pydantic takes a tenth of a second to load; most commands read no JSON column.
    from pydantic import TypeAdapter

    return TypeAdapter(hint)


def _weight_field(name: str) -> Field:
    """Keep a weight in grams or against another disc; the columns of the other stay empty."""
    columns = (f"{name}_g", f"{name}_against", f"{name}_offset_g", f"{name}_sd_g")
    known, relative = row_map(Weight), row_map(WeightRelativeTo)

    def encode(value: Weight | WeightRelativeTo) -> tuple[SqlValue, ...]:
        if isinstance(value, Weight):
            grams, sd_g = known.encode(value)
            return (grams, None, None, sd_g)
        return (None, *relative.encode(value))

    def decode(cells: Sequence[SqlValue]) -> Weight | WeightRelativeTo:
        if cells[1] is None:
            return known.decode((cells[0], cells[3]))
        return relative.decode(cells[1:])

    return Field(name, columns, encode, decode)
