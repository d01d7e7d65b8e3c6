"""What is believed about every disc before its flights are simulated.

A disc is its mold's printed numbers, moved by its plastic and its wear, with a weight and a
grip of its own. The printed numbers are opinions: every simulated sample draws its own
offsets, shared by discs of one mold and one plastic and individual for the rest, so that what
is not known widens the landing clouds.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from rimwise.errors import InputError, NotFoundError, check_range
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import WEIGHT_HIGH_G, WEIGHT_LOW_G, Disc, Grip, Mold, Plastic, Weight

_T = TypeVar("_T")

__all__ = ["AIR_KINDS", "Fleet", "build_fleet", "grip_grades", "resolve_weight"]

#: The four kinds of air in which grip is graded; the order of ``Fleet.grip``'s columns.
AIR_KINDS = ("cold-dry", "cold-wet", "warm-dry", "hot-sweaty")

#: Share of the printed numbers' variance that all discs of one mold have in common.
MOLD_SHARE = 0.6


@dataclass(frozen=True)
class Fleet:
    """All discs in play, as arrays with one entry per disc.

    ``printed`` (n, 4) are the printed numbers moved by plastic and wear (speed, glide, turn,
    fade); ``printed_sd`` (4,) their uncertainty; ``mass_kg`` and ``mass_sd_kg`` (n,);
    ``diameter_m`` and ``rim_width_m`` (n,), NaN where the mold's dimensions are unknown;
    ``grip`` (n, 4) grades 1 to 5 in the order of :data:`AIR_KINDS`; ``floats`` (n,);
    ``relative_cost`` (n,) cost over the median cost; ``wear`` (n,) from 0 (new) to 1, already in
    ``printed``; ``colours`` as the owner calls them, empty where unknown.
    """

    ids: tuple[str, ...]
    labels: tuple[str, ...]
    molds: tuple[str, ...]
    plastics: tuple[str, ...]
    printed: NDArray[np.float64]
    printed_sd: NDArray[np.float64]
    plastic_sd: NDArray[np.float64]
    mass_kg: NDArray[np.float64]
    mass_sd_kg: NDArray[np.float64]
    diameter_m: NDArray[np.float64]
    rim_width_m: NDArray[np.float64]
    grip: NDArray[np.float64]
    floats: NDArray[np.bool_]
    relative_cost: NDArray[np.float64]
    wear: NDArray[np.float64]
    colours: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.ids)

    def index(self, disc_id: str) -> int:
        """Return the position of a disc.

        Raises
        ------
        NotFoundError
            When no available disc has this name.
        """
        try:
            return self.ids.index(disc_id)
        except ValueError:
            raise NotFoundError(
                f"no disc named {disc_id!r} is available; `rimwise discs` lists them."
            ) from None

    def subset(self, keep: Sequence[int]) -> Fleet:
        """Return the fleet with only the discs at these positions, in this order."""
        rows = np.asarray(keep, dtype=np.intp)
        return Fleet(
            ids=tuple(self.ids[i] for i in keep),
            labels=tuple(self.labels[i] for i in keep),
            molds=tuple(self.molds[i] for i in keep),
            plastics=tuple(self.plastics[i] for i in keep),
            printed=self.printed[rows],
            printed_sd=self.printed_sd,
            plastic_sd=self.plastic_sd[rows],
            mass_kg=self.mass_kg[rows],
            mass_sd_kg=self.mass_sd_kg[rows],
            diameter_m=self.diameter_m[rows],
            rim_width_m=self.rim_width_m[rows],
            grip=self.grip[rows],
            floats=self.floats[rows],
            relative_cost=self.relative_cost[rows],
            wear=self.wear[rows],
            colours=tuple(self.colours[i] for i in keep),
        )

    def joined(self, others: Fleet) -> Fleet:
        """Return these discs and others behind them; none may have the name of another."""
        twice = sorted(set(self.ids) & set(others.ids))
        if twice:
            raise InputError(f"two discs are named {twice[0]!r}; call one of them otherwise.")
        both: dict[str, Any] = {}
        for item in fields(Fleet):
            mine, theirs = getattr(self, item.name), getattr(others, item.name)
            alike = isinstance(mine, tuple)
            both[item.name] = mine + theirs if alike else np.concatenate([mine, theirs])
        both["printed_sd"] = self.printed_sd  # the same for every disc
        return Fleet(**both)

    def as_worn(self, wear: Mapping[str, float], assume: Assumptions) -> Fleet:
        """Return the fleet with some discs worn otherwise, from 0 (new) to 1, by their names."""
        now = np.array([wear.get(disc, had) for disc, had in zip(self.ids, self.wear, strict=True)])
        printed = self.printed.copy()
        printed[:, 2] -= assume.wear_turn * (now - self.wear)
        printed[:, 3] -= assume.wear_fade * (now - self.wear)
        return replace(self, wear=now, printed=printed)

    def sample_printed(self, samples: int, seed: int, draw_set: int = 0) -> NDArray[np.float64]:
        """Draw printed numbers, shape (n, samples, 4).

        One random stream per mold, plastic and disc, keyed by its name: a disc's draws do
        not depend on which other discs are in the fleet. ``draw_set`` numbers independent sets.
        """
        shared, own = np.sqrt(MOLD_SHARE), np.sqrt(1.0 - MOLD_SHARE)
        drawn = np.empty((len(self), samples, 4))
        for i, disc_id in enumerate(self.ids):
            mold = stream_of(seed, draw_set, "mold", self.molds[i]).standard_normal((samples, 4))
            disc = stream_of(seed, draw_set, "disc", disc_id).standard_normal((samples, 4))
            plastic = stream_of(seed, draw_set, "plastic", self.plastics[i]).standard_normal(
                samples
            )
            drawn[i] = self.printed[i] + self.printed_sd * (shared * mold + own * disc)
            drawn[i, :, 2:] += (self.plastic_sd[i] * plastic)[:, None]
        return drawn

    def sample_mass_kg(self, samples: int, seed: int, draw_set: int = 0) -> NDArray[np.float64]:
        """Draw masses, shape (n, samples), kg; three standard deviations are the limit."""
        drawn = np.empty((len(self), samples))
        for i, disc_id in enumerate(self.ids):
            z = stream_of(seed, draw_set, "mass", disc_id).standard_normal(samples)
            drawn[i] = self.mass_kg[i] + self.mass_sd_kg[i] * np.clip(z, -3.0, 3.0)
        return drawn


def stream_of(seed: int, draw_set: int, component: str, name: str) -> np.random.Generator:
    """Return the random stream of one uncertain thing, keyed by kind and name."""
    key = (draw_set, zlib.crc32(component.encode()), zlib.crc32(name.encode()))
    return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=key))


def resolve_weight(disc: Disc, discs: Mapping[str, Disc]) -> tuple[float, float]:
    """Return weight and its standard deviation in grams, following relative weights.

    Raises
    ------
    InputError
        When the chain of relative weights leads to a missing disc, back to itself, or to a
        weight that no disc has.
    """
    offset_g, variance = 0.0, 0.0
    seen = [disc.id]
    weight = disc.weight
    while not isinstance(weight, Weight):
        offset_g += weight.offset_g
        variance += weight.sd_g**2
        if weight.disc_id in seen:
            raise InputError(
                f"the weight of {disc.id} leads back to itself ({' → '.join(seen)} → "
                f"{weight.disc_id}); weigh one of them."
            )
        if weight.disc_id not in discs:
            raise InputError(
                f"the weight of {disc.id} is given relative to {weight.disc_id!r}, "
                "which is not among your discs; weigh it or name another."
            )
        seen.append(weight.disc_id)
        weight = discs[weight.disc_id].weight
    grams = check_range(
        f"the weight of {disc.id}", weight.grams + offset_g, WEIGHT_LOW_G, WEIGHT_HIGH_G, "g"
    )
    return grams, float(np.sqrt(variance + weight.sd_g**2))


def build_fleet(
    discs: Sequence[Disc],
    molds: Mapping[str, Mold],
    plastics: Mapping[str, Plastic],
    assume: Assumptions,
    *,
    everything: Sequence[Disc] | None = None,
) -> Fleet:
    """Turn the owner's discs into arrays.

    Parameters
    ----------
    discs
        The discs in play, in order.
    everything
        All discs of the records, to resolve relative weights; ``discs`` when not given.

    Raises
    ------
    InputError
        When there is no disc, or a mold or plastic is missing.
    """
    if not discs:
        raise InputError("there is no disc to choose from; import some with `rimwise import`.")
    by_id = {disc.id: disc for disc in (everything if everything is not None else discs)}
    printed = np.empty((len(discs), 4))
    plastic_sd = np.empty(len(discs))
    weight = np.empty((len(discs), 2))
    size = np.full((len(discs), 2), np.nan)
    grip = np.empty((len(discs), 4))
    floats = np.zeros(len(discs), dtype=np.bool_)
    for i, disc in enumerate(discs):
        mold, plastic = (
            _lookup(molds, disc.mold, "mold"),
            _lookup(plastics, disc.plastic, "plastic"),
        )
        printed[i] = _own_numbers(mold, plastic, disc.wear, assume)
        plastic_sd[i] = plastic.stability_shift_sd / 2.0
        weight[i] = resolve_weight(disc, by_id)
        size[i] = (mold.diameter_m or np.nan, mold.rim_width_m or np.nan)
        grip[i] = grip_grades(disc.own_grip.over(plastic.grip))
        floats[i] = plastic.floats
    return Fleet(
        ids=tuple(disc.id for disc in discs),
        labels=tuple(disc.label for disc in discs),
        molds=tuple(disc.mold for disc in discs),
        plastics=tuple(disc.plastic for disc in discs),
        printed=printed,
        printed_sd=np.array(
            [
                assume.printed_speed_sd,
                assume.printed_glide_sd,
                assume.printed_turn_sd,
                assume.printed_fade_sd,
            ]
        ),
        plastic_sd=plastic_sd,
        mass_kg=weight[:, 0] / 1000.0,
        mass_sd_kg=weight[:, 1] / 1000.0,
        diameter_m=size[:, 0],
        rim_width_m=size[:, 1],
        grip=grip,
        floats=floats,
        relative_cost=_relative_cost(discs),
        wear=np.array([disc.wear for disc in discs]),
        colours=tuple(disc.colour for disc in discs),
    )


def _lookup(table: Mapping[str, _T], name: str, kind: str) -> _T:
    try:
        return table[name]
    except KeyError:
        raise InputError(f"{kind} {name!r} is not in the records; import it first.") from None


def _own_numbers(
    mold: Mold, plastic: Plastic, wear: float, assume: Assumptions
) -> tuple[float, float, float, float]:
    """Move the printed numbers by plastic (turn and fade alike) and by wear."""
    p = mold.printed
    shift = plastic.stability_shift
    turn = p.turn + shift / 2.0 - assume.wear_turn * wear
    fade = p.fade + shift / 2.0 - assume.wear_fade * wear
    return p.speed, p.glide, turn, fade


def grip_grades(grip: Grip) -> tuple[float, float, float, float]:
    """Return the grades in the order of :data:`AIR_KINDS`."""
    return grip.cold_dry, grip.cold_wet, grip.warm_dry, grip.hot_sweaty


def _relative_cost(discs: Sequence[Disc]) -> NDArray[np.float64]:
    known = [disc.cost for disc in discs if disc.cost]
    middle = float(np.median(known)) if known else 1.0
    return np.array([(disc.cost if disc.cost is not None else middle) / middle for disc in discs])
