"""Answers packed into few bytes for the file on the phone, and read back as its script reads them.

A hole is one run of bytes: for every wind and every lie the number of throws (one byte), the
chance of a putt (one byte, 255 where nobody putts), and the throws. Numbers are little-endian;
their steps are below what any of them is known to.
"""

from __future__ import annotations

import base64
import itertools
import struct
from collections.abc import Iterable, Iterator

from rimwise.pictures.phone_scene import PhoneAnswer, PhoneThrow

__all__ = ["pack", "rounded", "unpack"]

XY = tuple[float, float]

#: disc, base, effort, rise, turn; end; bends; centre; short, left with halves; chances; strokes and
#: error; better and error; dots that follow.
_THROW = struct.Struct("<BBBBh2h4b2hhBhB5BHBhBB")
_DOT = struct.Struct("<2b")
#: Steps per unit: of per cent, fifths of a metre and so on.
_PER_EFFORT, _PER_RISE, _PER_TURN, _PER_PLACE, _PER_BEND = 100, 5, 10_000, 10, 4
_PER_HALF, _PER_CHANCE, _PER_STROKE, _PER_DOT = 4, 250, 100, 2
_NOBODY_PUTTS, _NO_NEXT = 255, -32_768


def pack(answers: Iterable[Iterable[PhoneAnswer]]) -> str:
    """Return the answers of a hole, (wind, lie), as base64."""
    packed = bytearray()
    for answer in itertools.chain.from_iterable(answers):
        putt = _NOBODY_PUTTS if answer.putt is None else _chance(answer.putt)
        packed += bytes((len(answer.throws), putt))
        for throw in answer.throws:
            packed += _packed(throw)
    return base64.b64encode(packed).decode("ascii")


def unpack(text: str, lies: int) -> tuple[tuple[PhoneAnswer, ...], ...]:
    """Read packed answers of a hole with so many lies."""
    found = list(_answers(base64.b64decode(text)))
    return tuple(tuple(found[at : at + lies]) for at in range(0, len(found), lies))


def rounded(throw: PhoneThrow) -> PhoneThrow:
    """Return a throw as it is read back, so that what is said of it is the same everywhere."""
    return _throw_at(_packed(throw), 0)[0]


def _answers(packed: bytes) -> Iterator[PhoneAnswer]:
    at = 0
    while at < len(packed):
        count, putt = packed[at], packed[at + 1]
        at += 2
        throws = []
        for _ in range(count):
            throw, at = _throw_at(packed, at)
            throws.append(throw)
        yield PhoneAnswer(None if putt == _NOBODY_PUTTS else putt / _PER_CHANCE, tuple(throws))


def _packed(throw: PhoneThrow) -> bytes:
    chances = (throw.putt_next, throw.penalty, throw.water, throw.trees, throw.gone)
    better, better_se = throw.better, throw.better_se
    fixed = _THROW.pack(
        throw.disc,
        throw.base,
        _whole(throw.effort * _PER_EFFORT, 0, 255),
        _whole(throw.rise_m * _PER_RISE, 0, 255),
        _short(throw.turn_rad * _PER_TURN),
        *(_short(value * _PER_PLACE) for value in throw.end_m),
        *(_whole(value * _PER_BEND, -127, 127) for value in throw.bends_m),
        *(_short(value * _PER_PLACE) for value in throw.centre_m),
        _short(throw.short_m * _PER_PLACE),
        _whole(throw.short_half_m * _PER_HALF, 0, 255),
        _short(throw.left_m * _PER_PLACE),
        _whole(throw.left_half_m * _PER_HALF, 0, 255),
        *(_chance(value) for value in chances),
        _whole(throw.strokes * _PER_STROKE, 0, 65_535),
        _whole(throw.strokes_se * _PER_STROKE, 0, 255),
        _NO_NEXT if better is None else _short(better * _PER_STROKE),
        0 if better_se is None else _whole(better_se * _PER_STROKE, 0, 255),
        len(throw.dots_m),
    )
    return fixed + b"".join(_dot(dot, throw.centre_m) for dot in throw.dots_m)


def _dot(dot: XY, centre: XY) -> bytes:
    """Pack a landing by its way from the middle; one farther off than 63 m is put there."""
    off = ((dot[axis] - centre[axis]) * _PER_DOT for axis in (0, 1))
    return _DOT.pack(*(_whole(value, -127, 127) for value in off))


def _throw_at(packed: bytes, at: int) -> tuple[PhoneThrow, int]:
    read = _THROW.unpack_from(packed, at)
    at += _THROW.size
    disc, base, effort, rise, turn, end_x, end_y, *rest = read
    bends, (centre_x, centre_y), rest = rest[:4], rest[4:6], rest[6:]
    short, short_half, left, left_half, putt_next, penalty, water, trees, gone, *rest = rest
    strokes, strokes_se, better, better_se, dots = rest
    centre = (centre_x / _PER_PLACE, centre_y / _PER_PLACE)
    places = []
    for n in range(dots):
        x, y = _DOT.unpack_from(packed, at + n * _DOT.size)
        places.append((centre[0] + x / _PER_DOT, centre[1] + y / _PER_DOT))
    throw = PhoneThrow(
        disc=disc,
        base=base,
        effort=effort / _PER_EFFORT,
        rise_m=rise / _PER_RISE,
        turn_rad=turn / _PER_TURN,
        end_m=(end_x / _PER_PLACE, end_y / _PER_PLACE),
        bends_m=(bends[0] / _PER_BEND, bends[1] / _PER_BEND, bends[2] / _PER_BEND,
                 bends[3] / _PER_BEND),
        centre_m=centre,
        dots_m=tuple(places),
        short_m=short / _PER_PLACE,
        short_half_m=short_half / _PER_HALF,
        left_m=left / _PER_PLACE,
        left_half_m=left_half / _PER_HALF,
        putt_next=putt_next / _PER_CHANCE,
        penalty=penalty / _PER_CHANCE,
        water=water / _PER_CHANCE,
        trees=trees / _PER_CHANCE,
        gone=gone / _PER_CHANCE,
        strokes=strokes / _PER_STROKE,
        strokes_se=strokes_se / _PER_STROKE,
        better=None if better == _NO_NEXT else better / _PER_STROKE,
        better_se=None if better == _NO_NEXT else better_se / _PER_STROKE,
    )  # fmt: skip
    return throw, at + dots * _DOT.size


def _chance(share: float) -> int:
    """Pack a chance; a small one stays one."""
    return 0 if share <= 0.0 else _whole(share * _PER_CHANCE, 1, _PER_CHANCE)


def _short(value: float) -> int:
    return _whole(value, -32_767, 32_767)


def _whole(value: float, low: int, high: int) -> int:
    return min(max(round(value), low), high)
