"""What the tool says when something is wrong.

Every error that a person can cause is a :class:`RimwiseError` whose text is one
sentence: what was wrong, where (file, line, field) and what to type instead. The
faces print that sentence and nothing else; anything that is not a ``RimwiseError``
is a defect of ours.

::

    RimwiseError
    ├── InputError (also a ValueError)   a value or a file the person gave
    ├── NotFoundError                    a disc, course, carry … that is not there
    └── StoreError                       the data file or its folder
"""

from __future__ import annotations

import math

__all__ = [
    "InputError",
    "NotFoundError",
    "RimwiseError",
    "StoreError",
    "check_finite",
    "check_range",
]


class RimwiseError(Exception):
    """A mistake or a hindrance that the user can do something about."""


class InputError(RimwiseError, ValueError):
    """A value or a file that cannot be used as given."""


class NotFoundError(RimwiseError, LookupError):
    """Something named by the user that is not in the records."""


class StoreError(RimwiseError):
    """The data file cannot be opened, written or understood."""


def check_finite(name: str, value: float) -> float:
    """Return ``value`` as a float, or say that the argument ``name`` is not a number.

    Raises
    ------
    InputError
        When the value is NaN, infinite or no number at all.
    """
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number, but is {value!r}.") from None
    except OverflowError:  # a whole number of hundreds of digits
        raise InputError(f"{name} must be a finite number, but is far too large.") from None
    if not math.isfinite(number):
        raise InputError(f"{name} must be a finite number, but is {number}.")
    return number


def check_range(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return ``value`` as a float, or say which range the argument ``name`` must be in.

    Raises
    ------
    InputError
        When the value is not finite or outside ``low`` … ``high`` (ends allowed).
    """
    number = check_finite(name, value)
    if not low <= number <= high:
        suffix = f" {unit}" if unit else ""
        raise InputError(
            f"{name} must be between {low:g} and {high:g}{suffix}, but is {number:g}{suffix}."
        )
    return number
