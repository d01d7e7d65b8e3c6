"""Range checks shared by single objects and by arrays of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from rimwise.errors import InputError, check_range

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import ArrayLike, NDArray

__all__ = ["Limits", "check_fields", "column", "columns", "common_length"]

#: Field name to lowest value, highest value and unit.
Limits = dict[str, tuple[float, float, str]]


def check_fields(owner: object, limits: Limits) -> None:
    """Check the fields of a frozen object against their ranges and store them as floats."""
    prefix = type(owner).__name__.lower()
    for name, (low, high, unit) in limits.items():
        value = check_range(f"{prefix}.{name}", getattr(owner, name), low, high, unit)
        object.__setattr__(owner, name, value)


def column(name: str, value: ArrayLike, limit: tuple[float, float, str]) -> NDArray[np.float64]:
    """Return a value or an array as a checked one-dimensional float64 array.

    Raises
    ------
    InputError
        Naming the argument, the range and the first value outside it.
    """
    try:
        array = np.ascontiguousarray(np.atleast_1d(np.asarray(value, dtype=np.float64)))
    except (TypeError, ValueError):
        raise InputError(f"{name} must be numbers, but is {value!r}.") from None
    if array.ndim != 1 or array.size == 0:
        raise InputError(
            f"{name} must be one number or a one-dimensional array with at least one entry, "
            f"but has shape {array.shape}."
        )
    if not array.flags.writeable:  # the compiled loop knows one kind of array
        array = array.copy()
    low, high, unit = limit
    if not (array.min() >= low and array.max() <= high):  # a NaN is the least of any
        first = int(np.argmin((array >= low) & (array <= high)))
        suffix = f" {unit}" if unit else ""
        raise InputError(
            f"{name} must be between {low:g} and {high:g}{suffix}, "
            f"but is {array[first]:g}{suffix} at position {first}."
        )
    return array


def columns(
    label: str, value: Any, single: type, arrays: type, limits: Limits
) -> dict[str, NDArray[np.float64]]:
    """Turn one object, a sequence of objects or a struct of arrays into checked columns.

    Objects were checked when they were made; arrays are checked here.
    """
    if isinstance(value, single):
        return {name: np.array([getattr(value, name)]) for name in limits}
    if isinstance(value, arrays):
        return {
            name: column(f"{label}.{name}", getattr(value, name), limit)
            for name, limit in limits.items()
        }
    if isinstance(value, list | tuple) and value and all(isinstance(v, single) for v in value):
        items: Sequence[object] = value
        return {name: np.array([getattr(v, name) for v in items]) for name in limits}
    raise InputError(
        f"{label} must be a {single.__name__}, a list of them or a {arrays.__name__}, "
        f"but is {type(value).__name__}."
    )


def common_length(parts: Mapping[str, NDArray[np.float64]]) -> int:
    """Return the number of flights: every array has length 1 or this one."""
    length, owner = 1, ""
    for name, array in parts.items():
        if len(array) == 1:
            continue
        if length not in (1, len(array)):
            raise InputError(
                f"{name} has {len(array)} entries but {owner} has {length}; "
                "arrays must have equal lengths or a single entry."
            )
        length, owner = len(array), name
    return length
