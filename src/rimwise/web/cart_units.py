"""Lengths and masses of a cart as its owner thinks: cm and kg, or inches and pounds."""

from __future__ import annotations

from collections.abc import Mapping

from rimwise.web.fields import FieldError, decimal

__all__ = ["SIDES", "CartUnits"]

#: Where something is: a place's name, and what it is called.
SIDES = (
    ("ahead", "Forward of the axle (minus: toward the handle)"),
    ("left", "To the left (minus: to the right)"),
    ("up", "Above the ground"),
)
_CM_M, _INCH_M, _POUND_KG = 0.01, 0.0254, 0.45359237
#: Nothing on a cart is farther off, or heavier, than this.
_MOST_M, _MOST_KG = 2.0, 50.0


class CartUnits:
    """What lengths and masses on a cart are typed and shown in.

    Attributes
    ----------
    length, mass
        What the units are called.
    """

    def __init__(self, units: str) -> None:
        feet = units == "ft"
        self.length, self.mass = ("inches", "lb") if feet else ("cm", "kg")
        self._unit_m, self._unit_kg = (_INCH_M, _POUND_KG) if feet else (_CM_M, 1.0)

    def shown_m(self, length_m: float) -> str:
        """Return a length as it is typed."""
        return f"{round(length_m / self._unit_m, 2):g}"

    def shown_kg(self, mass_kg: float) -> str:
        """Return a mass as it is typed."""
        return f"{round(mass_kg / self._unit_kg, 3):g}"

    def metres(
        self, typed: Mapping[str, str], field: str, what: str, *, was_m: float | None = None
    ) -> float:
        """Return a length that was typed, metres.

        Parameters
        ----------
        was_m
            What the field showed; returned to the last digit when nobody changed it.

        Raises
        ------
        FieldError
            When it is missing, no number, or longer than any cart.
        """
        if was_m is not None and typed.get(field) == self.shown_m(was_m):
            return was_m
        return self._number(typed, field, what, "12", self._unit_m, _MOST_M, self.length)

    def kilograms(
        self, typed: Mapping[str, str], field: str, what: str, *, was_kg: float | None = None
    ) -> float:
        """Return a mass that was typed, kg; see :meth:`metres`."""
        if was_kg is not None and typed.get(field) == self.shown_kg(was_kg):
            return was_kg
        found = self._number(typed, field, what, "1.2", self._unit_kg, _MOST_KG, self.mass)
        if found < 0.0:
            raise FieldError(field, f"{what} cannot be less than nothing; write one such as 1.2.")
        return found

    def _number(
        self, typed: Mapping[str, str], field: str, what: str, such: str, unit: float,
        most: float, called: str,
    ) -> float:  # fmt: skip
        found = decimal(typed, field, what, instead=f"write one such as {such}")
        if found is None:
            raise FieldError(field, f"{what} is missing; write one such as {such}.")
        if abs(found * unit) > most:
            raise FieldError(
                field, f"{what} can be at most {most / unit:.0f} {called}, but is {found:g}."
            )
        return found * unit
