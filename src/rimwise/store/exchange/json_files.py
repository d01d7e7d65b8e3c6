"""A thrower or a cart from a JSON file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

from rimwise.errors import InputError
from rimwise.records.carts import Cart
from rimwise.records.thrower import Thrower
from rimwise.store.exchange.text import read_text

if TYPE_CHECKING:
    from pydantic import ValidationError

__all__ = ["read_cart_json", "read_thrower_json"]

T = TypeVar("T")


def read_thrower_json(data: str | bytes, name: str) -> Thrower:
    """Read a thrower from a JSON object with the fields of :class:`Thrower`.

    Raises
    ------
    InputError
        When it is no JSON or a field is wrong, missing or unknown; the sentence names it.
    """
    return _read(data, name, Thrower)


def read_cart_json(data: str | bytes, name: str) -> Cart:
    """Read a cart from a JSON object with the fields of :class:`Cart`.

    Raises
    ------
    InputError
        When it is no JSON or a field is wrong, missing or unknown; the sentence names it.
    """
    return _read(data, name, Cart)


def _read(data: str | bytes, name: str, record: type[T]) -> T:
    from pydantic import TypeAdapter, ValidationError

    text, _ = read_text(data, name)
    try:
        raw = json.loads(text, parse_constant=lambda word: _refuse_constant(name, word))
    except json.JSONDecodeError as error:
        raise InputError(
            f"{name}, line {error.lineno}: this is no JSON ({error.msg.lower()}); "
            "check commas, quotes and braces there."
        ) from None
    except InputError:
        raise
    except ValueError:
        raise InputError(f"{name} holds a number that is far too long; shorten it.") from None
    except RecursionError:
        raise InputError(f"{name} is nested too deeply; give a plain {record.__name__}.") from None
    if not isinstance(raw, dict):
        raise InputError(f"{name} is no JSON object; put the fields between braces {{ }}.")
    adapter = TypeAdapter(record)
    try:
        built = adapter.validate_python(raw)
    except ValidationError as error:
        raise InputError(f"{name}: {_sentence(error)}") from None
    unknown = _unknown(raw, adapter.dump_python(built, mode="json"))
    if unknown:
        raise InputError(f"{name}: there is no field '{unknown}'; delete it or correct its name.")
    return built


def _refuse_constant(name: str, word: str) -> NoReturn:
    raise InputError(f"{name} holds {word}, which is no number of JSON; write a finite number.")


def _sentence(error: ValidationError) -> str:
    """Return the first complaint, with the path of its field."""
    first: Any = error.errors()[0]
    path = ".".join(str(step) for step in first["loc"])
    field = f"field '{path}'"
    if first["type"] == "missing":
        return f"{field} is missing; add it."
    if first["type"] == "value_error":
        complaint = str(first["ctx"]["error"])
        return f"{field}: {complaint}" if path else complaint
    message = first["msg"][0].lower() + first["msg"][1:]
    return f"{field} is {first['input']!r:.60}; {message}."


def _unknown(raw: Any, understood: Any, path: str = "") -> str:
    """Return the path of the first field of the file that the record does not have."""
    if isinstance(raw, dict) and isinstance(understood, dict):
        steps = [(key, raw[key], understood.get(key)) for key in raw]
        known = set(understood)
    elif isinstance(raw, list) and isinstance(understood, list):
        steps = [(str(i), *pair) for i, pair in enumerate(zip(raw, understood, strict=False))]
        known = {str(i) for i in range(len(raw))}
    else:
        return ""
    for key, inside, inside_understood in steps:
        here = f"{path}.{key}" if path else str(key)
        found = here if key not in known else _unknown(inside, inside_understood, here)
        if found:
            return found
    return ""
