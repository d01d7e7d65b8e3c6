"""Discs and plastics as tables that a spreadsheet opens and our reader reads back equal."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping

from rimwise.errors import NotFoundError
from rimwise.records.discs import Disc, Mold, Plastic, Weight, WeightRelativeTo

__all__ = ["export_discs_csv", "export_plastics_csv"]

_AIRS = ("cold_dry", "cold_wet", "warm_dry", "hot_sweaty")


def export_discs_csv(
    discs: Iterable[Disc], molds: Iterable[Mold], plastics: Iterable[Plastic]
) -> str:
    """Return the discs as a CSV table (RFC 4180), with the numbers of their molds.

    Text that a spreadsheet would run as a formula gets an apostrophe before it, which
    :func:`~rimwise.store.exchange.discs.read_discs_csv` takes away again. White space around
    a text is lost.

    Raises
    ------
    NotFoundError
        When the mold or plastic of a disc is not among those given.
    """
    by_mold = {mold.name: mold for mold in molds}
    by_plastic = {plastic.name: plastic for plastic in plastics}
    rows = []
    for disc in discs:
        for word, name, there in (
            ("mold", disc.mold, by_mold),
            ("plastic", disc.plastic, by_plastic),
        ):
            if name not in there:
                raise NotFoundError(f"disc {disc.id!r} is of {word} {name!r}, which is not given.")
        rows.append(_disc_cells(disc, by_mold[disc.mold], by_plastic[disc.plastic]))
    return _table(rows, _disc_header())


def export_plastics_csv(plastics: Iterable[Plastic]) -> str:
    """Return the plastics as a CSV table (RFC 4180) that our reader reads back equal."""
    rows = [
        {
            "plastic": _guarded(plastic.name),
            **{
                f"grip {air.replace('_', '-')}": _number(getattr(plastic.grip, air))
                for air in _AIRS
            },
            "durability": _number(plastic.durability),
            "floats": _yes(plastic.floats),
            "stability_shift": _number(plastic.stability_shift),
            "stability_shift_sd": _number(plastic.stability_shift_sd),
        }
        for plastic in plastics
    ]
    header = ["plastic", *(f"grip {air.replace('_', '-')}" for air in _AIRS)]
    return _table(rows, [*header, "durability", "floats", "stability_shift", "stability_shift_sd"])


def _disc_header() -> list[str]:
    return [
        *("disc", "maker", "mold", "speed", "glide", "turn", "fade", "diameter_m", "rim_width_m"),
        *("plastic", "floats", "weight_g", "weight_sd_g", "colour", "mark", "run", "wear"),
        *("condition", "status", "cost"),
        *(f"grip {air.replace('_', '-')}" for air in _AIRS),
        *("meaning", "note"),
    ]


def _disc_cells(disc: Disc, mold: Mold, plastic: Plastic) -> dict[str, str]:
    texts = {
        name: _guarded(getattr(disc, name))
        for name in ("colour", "mark", "run", "condition", "meaning", "note")
    }
    return {
        **texts,
        "disc": _guarded(disc.id),
        "maker": _guarded(mold.maker),
        "mold": _guarded(mold.name),
        **{
            name: _number(getattr(mold.printed, name))
            for name in ("speed", "glide", "turn", "fade")
        },
        "diameter_m": _number(mold.diameter_m),
        "rim_width_m": _number(mold.rim_width_m),
        "plastic": _guarded(plastic.name),
        "floats": _yes(plastic.floats),
        "weight_g": _weight(disc.weight),
        "weight_sd_g": _number(disc.weight.sd_g),
        "wear": _number(disc.wear),
        "status": disc.status.value,
        "cost": _number(disc.cost),
        **{f"grip {air.replace('_', '-')}": _number(getattr(disc.own_grip, air)) for air in _AIRS},
    }


def _weight(weight: Weight | WeightRelativeTo) -> str:
    if isinstance(weight, Weight):
        return _number(weight.grams)
    other = _guarded(weight.disc_id)
    if weight.offset_g == 0.0:
        return f"same as {other}"
    way = "lighter" if weight.offset_g < 0.0 else "heavier"
    return f"{_number(abs(weight.offset_g))} g {way} than {other}"


def _number(value: float | None) -> str:
    """Write a number so that it reads back to the last bit, whole ones without a point."""
    return "" if value is None else repr(float(value)).removesuffix(".0")


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _guarded(text: str) -> str:
    """Put an apostrophe before what a spreadsheet would take for a formula."""
    return f"'{text}" if re.match(r"'*[=+\-@\t\r\n]", text) else text


def _table(rows: Iterable[Mapping[str, str]], header: list[str]) -> str:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, header, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()
