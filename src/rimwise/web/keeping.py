"""What was worked out once is shown at once until anything it rests on changes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import TypeVar

from rimwise.store.store import Store

__all__ = ["RESTS_ON", "Kept"]

_T = TypeVar("_T")
#: Everything that what is told may rest on; a plan adds a carry.
RESTS_ON = (
    "carries", "carts", "comparisons", "condition_grades", "conditions", "courses", "discs",
    "grip_grades", "knocks", "molds", "plastics", "putts", "rounds", "settings", "throwers",
    "throws",
)  # fmt: skip
#: What rests on a plan as it was told, and not on the log.
_PLANS_REST_ON = (
    "carries", "carts", "conditions", "courses", "discs", "molds", "plastics", "reports",
    "settings", "throwers",
)  # fmt: skip
_REMEMBERED = 8


class Kept:
    """The latest of what was made of the plans, carts and settings on file."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._made: OrderedDict[tuple[object, ...], object] = OrderedDict()

    def made(self, store: Store, called: tuple[object, ...], make: Callable[[], _T]) -> _T:
        """Return what ``make`` returns, made anew only when what it rests on changed.

        Parameters
        ----------
        called
            What tells it apart from whatever else is made of the same records.
        """
        key = (*called, store.digest(_PLANS_REST_ON))
        with self._lock:
            if key in self._made:
                self._made.move_to_end(key)
                return self._made[key]  # type: ignore[return-value]
        found = make()
        with self._lock:
            self._made[key] = found
            while len(self._made) > _REMEMBERED:
                self._made.popitem(last=False)
        return found
