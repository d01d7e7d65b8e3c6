"""Discs that nobody owns yet: what one more would save a round, and what is missing.

Wished-for discs are priced on the lies of a table (by distance, or of solved holes), with frozen
strokes-to-finish, like the discs that are there: lines chosen on one set of throws and told on
another. What is not known of a disc that was never thrown costs it strokes at first, as its lines
are chosen without knowing. What it would save once it is known is priced as well: its numbers are
drawn, and each draw is taken for known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet, stream_of
from rimwise.decide.carry import LEAST_TOLERANCE, Table
from rimwise.decide.clouds import Simulator
from rimwise.decide.demand import Progress
from rimwise.decide.priceable import Priceable
from rimwise.records.assumptions import Assumptions

__all__ = ["Gap", "Wanted", "best_addition", "find_gaps", "known_draws", "value_of_wanted"]

#: Draws of a disc's true numbers.
DRAWS = 8
#: A head or tail wind that a player tells from a calm, m/s.
FELT_WIND_M_S = 3.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one more disc saves, strokes a round.

    Parameters
    ----------
    disc
        Position in the fleet of wished-for discs.
    at_first, at_first_se
        Thrown with what is believed of it, and one standard error.
    known
        Once it is known, on average over what it may turn out to be.
    low, high
        Eight of ten of what it may turn out to be lie between these; ``known`` with a spread.
    instead_of
        The carried disc that it takes the place of; ``None`` where there is room.
    throws
        Throws a round that would fall to it.
    learning
        Strokes given away in the first ``assume.learning_rounds`` rounds by not knowing it yet.
    half_known_rounds
        Rounds after which half of what could be given away is given away no more; infinite where
        it is hardly thrown.
    """

    disc: int
    at_first: float
    at_first_se: float
    known: float
    low: float
    high: float
    instead_of: int | None
    throws: float = 0.0
    learning: float = 0.0
    half_known_rounds: float = math.inf


def known_draws(
    fleet: Fleet, seed: int, draws: int = DRAWS, grip_sd: NDArray[np.float64] | None = None
) -> Fleet:
    """Return every disc as it may turn out to be, each draw a disc that is known.

    Draws of one disc stand together; they differ in its printed numbers, and in its grip where
    ``grip_sd`` (disc, 4) says how far that is known. Grip is surer or poorer in all air alike.
    """
    numbers = fleet.sample_printed(draws, seed).reshape(-1, 4)
    found = fleet.subset(np.repeat(np.arange(len(fleet)), draws).tolist())
    own = {item.name: getattr(found, item.name) for item in fields(Fleet)}
    off = np.concatenate(
        [stream_of(seed, 0, "grip", disc).standard_normal(draws) for disc in fleet.ids]
    )
    spread = np.zeros_like(fleet.grip) if grip_sd is None else grip_sd
    own["ids"] = tuple(f"{disc}, draw {k % draws + 1}" for k, disc in enumerate(found.ids))
    own["printed"], own["printed_sd"] = numbers, np.zeros(4)
    own["plastic_sd"] = own["mass_sd_kg"] = np.zeros(len(found))
    own["grip"] = np.clip(found.grip + np.repeat(spread, draws, axis=0) * off[:, None], 1.0, 5.0)
    return Fleet(**own)


def value_of_wanted(
    simulator: Simulator,
    demand: Priceable,
    carry: Sequence[int],
    wanted: Fleet,
    assume: Assumptions,
    *,
    room: bool = False,
    seed: int = 1,
    draws: int = DRAWS,
    grip_sd: NDArray[np.float64] | None = None,
    progress: Progress = lambda _what, _share: None,
) -> tuple[Wanted, ...]:
    """Say what each wished-for disc would save in a carry, the most first.

    Parameters
    ----------
    carry
        Positions in the table's fleet.
    room
        Whether it may come on top; else it takes the place of the disc that is missed least.
    grip_sd
        (wanted, 4) how far their grip is known, grades; known when not given.

    Notes
    -----
    A known disc that is no use, as told by the choosing throws, stays at home and saves nothing.

    What is given away by not knowing where a disc lands grows with the variance of that, as a
    misjudged aim costs the square of it; and that variance falls with every throw of the disc as
    that of a normal mean does, whose precisions add. So after k rounds of m throws the share
    s²/(s² + k m t²) of it is left, with s the scatter of its throws and t what is not known of
    their middle. That it goes like this is assumed, not measured.
    """
    own = len(demand.fleet)
    first = demand.with_more(simulator, wanted, assume, lambda w, s: progress(w, s / (draws + 1)))
    later = demand.with_more(
        simulator, known_draws(wanted, seed, draws, grip_sd), assume,
        lambda w, s: progress(w, (1.0 + draws * s) / (draws + 1)),
    )  # fmt: skip
    found = []
    for place in range(len(wanted)):
        leaves = None if room else _missed_least(first, carry, own + place)
        kept = [disc for disc in carry if disc != leaves]
        saved, error = first.difference(carry, [*kept, own + place])
        worth = np.array(
            [
                _saved(later, carry, own + place * draws + k, room=room)
                for k in range(draws)
            ]
        )  # fmt: skip
        low, high = np.quantile(worth, (0.1, 0.9))
        known = float(worth.mean())
        throws, half = _learnt_in(first, later, [*kept, own + place], own + place * draws, draws)
        rounds = np.arange(round(assume.learning_rounds))
        left = 1.0 / (1.0 + rounds / half) if math.isfinite(half) else np.ones(len(rounds))
        found.append(
            Wanted(
                place,
                saved,
                error,
                known,
                float(low),
                float(high),
                leaves,
                throws,
                max(known - saved, 0.0) * float(left.sum()),
                half,
            )
        )
    progress("done", 1.0)
    return tuple(sorted(found, key=lambda one: (-one.known, -one.at_first, one.disc)))


def _learnt_in(
    first: Priceable, later: Priceable, carried: Sequence[int], start: int, draws: int
) -> tuple[float, float]:
    """Return the throws a round of the last of ``carried``, and the rounds until it is half known.

    Parameters
    ----------
    first, later
        The table with the disc as believed, where its numbers differ from throw to throw, and the
        one with its draws, each with the same numbers in every throw, from column ``start`` on.
    """
    disc = carried[-1]
    rows = np.flatnonzero(first.serves(carried) == disc)
    weights = first.weights[rows]
    throws = float(weights.sum())
    if throws <= 0.0:
        return 0.0, math.inf
    share = weights / throws

    def scatter(places: NDArray[np.float32]) -> float:
        return float(share @ places.var(axis=-2, ddof=1, dtype=np.float64).sum(axis=-1))

    own = float(np.mean([scatter(later.next_m[rows, start + draw]) for draw in range(draws)]))
    unknown = max(scatter(first.next_m[rows, disc]) - own, 0.0)
    return throws, own / (throws * unknown) if unknown > 0.0 else math.inf


@dataclass(frozen=True, slots=True)
class Gap:
    """What the carry lacks: a disc that would save strokes, and on which throws most.

    Parameters
    ----------
    disc
        Position in the table's fleet.
    saves, saves_se
        Strokes a round, as one more, and one standard error.
    kinds
        Kinds of throw, those that gain most first: (rows, share of the saving).
    """

    disc: int
    saves: float
    saves_se: float
    kinds: tuple[tuple[tuple[int, ...], float], ...]


def find_gaps(
    demand: Priceable, carry: Sequence[int], candidates: Sequence[int], most: int = 3
) -> tuple[Gap, ...]:
    """Return the candidates that would save most, each with those before it in the carry.

    Those that save less than two errors, or nearly nothing, are not told.
    """
    found: list[Gap] = []
    have = list(carry)
    for _ in range(most):
        disc = best_addition(demand, have, candidates)
        if disc is None:
            break
        saved, error = demand.difference(have, [*have, disc])
        if saved < max(2.0 * error, LEAST_TOLERANCE):
            break
        gain = demand.weights * _better(demand, have, [disc])[:, 0]
        found.append(Gap(disc, saved, error, _kinds(demand, gain)))
        have.append(disc)
    return tuple(found)


def best_addition(demand: Table, have: Sequence[int], candidates: Sequence[int]) -> int | None:
    """Return the disc that would save most beside others, on the choosing throws.

    ``None`` where every candidate is there already.
    """
    open_to = [disc for disc in candidates if disc not in have]
    if not open_to:
        return None
    gain = demand.weights @ _better(demand, have, open_to)
    return open_to[int(np.argmax(gain))]


def _better(demand: Table, have: Sequence[int], discs: Sequence[int]) -> NDArray[np.float64]:
    """Return strokes that each disc saves on every row beside those at hand, (row, disc)."""
    now = demand.cost[:, list(have)].min(axis=1)
    return np.asarray(np.maximum(now[:, None] - demand.cost[:, list(discs)], 0.0))


def _kinds(
    demand: Priceable, gain: NDArray[np.float64]
) -> tuple[tuple[tuple[int, ...], float], ...]:
    """Group rows by tee or approach, 20 m of distance and wind; the greatest gains first."""
    groups: dict[tuple[str, int, int], list[int]] = {}
    for r in np.flatnonzero(gain > 0.0).tolist():
        row, head = demand.rows[r], demand.ahead_m_s(r)
        felt = 0 if abs(head) < FELT_WIND_M_S else int(math.copysign(1, head))
        groups.setdefault((row.kind, int(row.distance_m // 20.0), felt), []).append(r)
    whole = float(gain.sum())
    told = [(tuple(rows), float(gain[rows].sum()) / whole) for rows in groups.values()]
    return tuple(sorted(told, key=lambda kind: (-kind[1], kind[0])))


def _saved(demand: Table, carry: Sequence[int], extra: int, *, room: bool) -> float:
    """Return what a known disc saves; nothing where the choosing throws would leave it home."""
    leaves = None if room else _missed_least(demand, carry, extra)
    taken = [*(d for d in carry if d != leaves), extra]
    promised = demand.cost[:, list(carry)].min(axis=1) - demand.cost[:, taken].min(axis=1)
    return demand.difference(carry, taken)[0] if demand.weights @ promised > 0.0 else 0.0


def _missed_least(demand: Table, carry: Sequence[int], extra: int) -> int:
    """Return the carried disc that is missed least once another came, on the choosing throws."""
    columns = [*carry, extra]
    cost: NDArray[np.float64] = demand.cost[:, columns]
    serves = np.argmin(cost, axis=1)
    two = np.partition(cost, 1, axis=1)[:, :2]
    lost = demand.weights * (two[:, 1] - two[:, 0])
    missed = [
        float(lost[serves == place].sum()) if place < len(carry) else math.inf
        for place in range(len(columns))
    ]
    return carry[int(np.argmin(missed))]
