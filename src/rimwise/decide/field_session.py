"""What to throw next: the throws and comparisons that would save most strokes if logged.

What is not known of a disc matters in two ways. Its landing may decide which disc is thrown:
costs are those of a demand table, frozen, and straight in each disc's landing on the stock throw
(how far, how far left), lines chosen anew. And a disc that is thrown anyway is aimed wrongly by
what is not known of it, which costs the square of the mistake.

A session is worth what the best choice after it saves against the best choice now, on average
over its outcomes: the expected value of sample information (Raiffa & Schlaifer 1961), which is
never below nothing. It is built up greedily by the *knowledge gradient* (Frazier, Powell & Dayanik
2009), throws of one disc in blocks of five: one throw alone hardly ever changes a choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.carry import LEAST_TOLERANCE

__all__ = [
    "BLOCK", "Ask", "Doubt", "Session", "Stakes", "Worth", "design_session", "session_worth",
]  # fmt: skip

Floats = NDArray[np.float64]

#: Throws of one disc in a row.
BLOCK = 5
#: Outcomes of one more step and of a whole session.
_STEP_OUTCOMES, OUTCOMES = 32, 200


@dataclass(frozen=True, slots=True, eq=False)
class Stakes:
    """A frozen demand table and how its costs follow the discs' landings.

    ``cost`` (row, disc) strokes; ``weight`` (row,) visits a round; ``slopes`` (set, row, disc, 2)
    strokes per metre that a disc lands farther and more to the left on the stock throw, from one
    or more sets of throws that know nothing of each other;
    ``bend`` (row, disc, 2) strokes per square metre that it lands otherwise than its line was
    chosen for; ``carried`` the positions of the discs in the present carry.
    """

    cost: Floats
    weight: Floats
    slopes: Floats
    bend: Floats
    carried: tuple[int, ...]

    @property
    def slope(self) -> Floats:
        """The slopes of all sets together, (row, disc, 2)."""
        return np.asarray(self.slopes.mean(axis=0))

    def moved(self, landing: Floats, slope: Floats) -> Floats:
        """Return costs (samples, row, disc) when landings move by (samples, disc, 2) m."""
        farther = slope[:, :, 0] * landing[:, None, :, 0]
        return np.asarray(self.cost + farther + slope[:, :, 1] * landing[:, None, :, 1])

    @property
    def aim(self) -> Floats:
        """Strokes a round for each square metre not known of the discs now thrown, (disc, 2)."""
        rows = np.arange(len(self.cost))
        thrown = np.argmin(self.cost, axis=1)
        each = self.weight[:, None] * self.bend[rows, thrown]
        found = np.zeros(self.bend.shape[1:])
        np.add.at(found, thrown, each)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """What is not known of landings, and what noticing tells.

    Parameters
    ----------
    covariance
        Of all landings, (disc, 2, disc, 2), m²: what the arm and molds share is in it.
    scatter
        Covariance of one throw about its disc's landing, (disc, 2, 2), m².
    felt_sd_m
        Error of feeling which of two discs finishes more to the side, m, (disc,).
    """

    covariance: Floats
    scatter: Floats
    felt_sd_m: Floats

    @property
    def flat(self) -> Floats:
        """The covariance of all landings as a matrix, (2 disc, 2 disc)."""
        size = 2 * len(self.scatter)
        return self.covariance.reshape(size, size)


@dataclass(frozen=True, slots=True)
class Ask:
    """One step of a session: throw a disc ``throws`` times, or compare it with ``other``."""

    disc: int
    other: int | None = None
    throws: int = 0


@dataclass(frozen=True, slots=True)
class Worth:
    """What a session saves, strokes a round on average over its outcomes.

    Parameters
    ----------
    choice
        By throwing another disc where that turns out better: chosen on one set of throws and told
        on another, so that noise of the slopes passes for nothing.
    aim
        By aiming better at discs that are thrown anyway.
    changes
        Share of outcomes after which another disc belongs in the carry.
    """

    choice: float
    aim: float
    changes: float

    @property
    def gain(self) -> float:
        """Both together; choices on noise may cost a little, and are then not made."""
        return max(self.choice, 0.0) + self.aim


@dataclass(frozen=True, slots=True)
class Session:
    """A field session, what it is worth, and what each step added where it was chosen."""

    asks: tuple[Ask, ...]
    worth: Worth
    added: tuple[float, ...]


def design_session(
    stakes: Stakes,
    doubt: Doubt,
    throws: int,
    comparisons: int,
    *,
    pairs: Sequence[tuple[int, int]] = (),
    allowed: Sequence[int] | None = None,
    seed: int = 1,
) -> Session:
    """Choose what to throw and compare.

    Parameters
    ----------
    throws, comparisons
        How many of each there is time for; throws go in blocks of :data:`BLOCK`.
    pairs
        Comparisons that may be asked for.
    allowed
        Discs that may be thrown; all when not given.
    """
    discs = len(doubt.scatter)
    may = [Ask(d, throws=BLOCK) for d in (range(discs) if allowed is None else allowed)]
    may_compare = [Ask(a, other=b) for a, b in pairs]
    left, left_compare = throws // BLOCK, comparisons
    covariance = doubt.flat.copy()
    # Gains found earlier, hardly ever smaller than now: only the most promising are found anew.
    known = [(_step_gain(stakes, doubt, covariance, ask), ask) for ask in may + may_compare]
    asks: list[Ask] = []
    added: list[float] = []
    while left or left_compare:
        open_to = [
            i
            for i, (_, ask) in enumerate(known)
            if (left if ask.other is None else left_compare) and known[i][0] >= 0.0
        ]
        if not open_to:
            break
        fresh: set[int] = set()
        while True:
            top = max(open_to, key=lambda i: (known[i][0], -i))
            if top in fresh:
                break
            known[top] = (_step_gain(stakes, doubt, covariance, known[top][1]), known[top][1])
            fresh.add(top)
        gain, ask = known[top]
        covariance = _after(covariance, *_seen(doubt, ask))
        asks.append(ask)
        added.append(gain)
        left -= ask.other is None
        left_compare -= ask.other is not None
        if ask.other is not None:
            known[top] = (-1.0, ask)  # the same question twice has the same answer
    return Session(tuple(asks), session_worth(stakes, doubt, asks, seed), tuple(added))


def session_worth(
    stakes: Stakes, doubt: Doubt, asks: Sequence[Ask], seed: int = 1, outcomes: int = OUTCOMES
) -> Worth:
    """Return what a session is worth."""
    before = doubt.flat
    after = before
    for ask in asks:
        after = _after(after, *_seen(doubt, ask))
    landing = _draws(before - after, outcomes, seed, len(doubt.scatter))
    costs = [stakes.moved(landing, slope) for slope in stakes.slopes]
    places = range(len(costs))
    pairs = [(i, j) for i in places for j in places if i != j] or [(0, 0)]
    saved = np.mean([_saved(stakes, costs[i], costs[j]) for i, j in pairs])
    # The carry may be no cheapest set (equal within error, then by other wishes): a swap that
    # would help today already is no news.
    enough = _best_swap(stakes, stakes.cost) + LEAST_TOLERANCE
    changes = np.mean(
        [_best_swap(stakes, one) > enough for one in stakes.moved(landing, stakes.slope)]
    )
    return Worth(float(saved), _aimed(stakes, before - after), float(changes))


def _saved(stakes: Stakes, seen: Floats, real: Floats) -> float:
    """Return what choosing by what is seen (samples, row, disc) saves in what it really costs.

    Against today's choice, which costs the same on average whatever comes out: with its own cost
    in each outcome taken off, the mean is less noisy.
    """
    rows = np.arange(len(stakes.cost))
    today = real[:, rows, np.argmin(stakes.cost, axis=1)]
    then = np.take_along_axis(real, np.argmin(seen, axis=2)[..., None], axis=2)[..., 0]
    return float(((today - then) @ stakes.weight).mean())


def _best_swap(stakes: Stakes, cost: Floats) -> float:
    """Return what the best swap of one disc carried for one from home saves, at least 0."""
    carried = list(stakes.carried)
    home = [d for d in range(cost.shape[1]) if d not in stakes.carried]
    if not home or not carried:
        return 0.0
    ordered = np.sort(cost[:, carried], axis=1)
    best, second = ordered[:, 0], ordered[:, min(1, len(carried) - 1)]
    serves = np.argmin(cost[:, carried], axis=1)
    joined = np.minimum(best[:, None], cost[:, home])
    saved = 0.0
    for place in range(len(carried)):
        mine = serves == place
        left = second if len(carried) > 1 else np.full_like(second, np.inf)
        without = np.where(mine[:, None], np.minimum(left[:, None], cost[:, home]), joined)
        saved = max(saved, float((stakes.weight @ (best[:, None] - without)).max()))
    return saved


def _step_gain(stakes: Stakes, doubt: Doubt, covariance: Floats, ask: Ask) -> float:
    """Return what one more step saves on its own, with what is known by then."""
    rows, noise = _seen(doubt, ask)
    gain = _gain_matrix(covariance, rows, noise)
    xi = _even_normals(gain.shape[1])
    moves = (xi @ gain.T).reshape(len(xi), -1, 2)
    moved = stakes.moved(moves, stakes.slope)
    chosen = _saved(stakes, moved, moved)
    return chosen + _aimed(stakes, gain @ gain.T)


def _aimed(stakes: Stakes, known: Floats) -> float:
    """Return what better aim saves when so much of the covariance of landings is taken away."""
    return float((stakes.aim.ravel() * np.diag(known)).sum())


def _seen(doubt: Doubt, ask: Ask) -> tuple[Floats, Floats]:
    """Return what a step shows, as rows over all landings, and its error covariance."""
    size = 2 * len(doubt.scatter)
    if ask.other is None:
        rows = np.zeros((2, size))
        rows[0, 2 * ask.disc], rows[1, 2 * ask.disc + 1] = 1.0, 1.0
        return rows, doubt.scatter[ask.disc] / max(ask.throws, 1)
    rows = np.zeros((1, size))
    rows[0, 2 * ask.disc + 1], rows[0, 2 * ask.other + 1] = 1.0, -1.0
    sd_m = 0.5 * (doubt.felt_sd_m[ask.disc] + doubt.felt_sd_m[ask.other])
    return rows, np.array([[sd_m**2]])


def _gain_matrix(covariance: Floats, rows: Floats, noise: Floats) -> Floats:
    """Return how believed means move, (2 disc, k), by k independent standard normal outcomes."""
    along = covariance @ rows.T
    root = np.linalg.cholesky(rows @ along + noise)
    return np.asarray(np.linalg.solve(root, along.T).T)


def _after(covariance: Floats, rows: Floats, noise: Floats) -> Floats:
    gain = _gain_matrix(covariance, rows, noise)
    return np.asarray(covariance - gain @ gain.T)


def _even_normals(size: int) -> Floats:
    """Return evenly spread standard normal outcomes, (n, size), that sum to nothing."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    power = (_STEP_OUTCOMES // 2).bit_length() - 1
    z = ndtri(qmc.Sobol(size, rng=np.random.default_rng(size)).random_base2(power))
    return np.vstack([z, -z])


def _draws(covariance: Floats, count: int, seed: int, discs: int) -> Floats:
    """Draw moves of all landings, (count, disc, 2), each with its opposite."""
    values, axes = np.linalg.eigh(0.5 * (covariance + covariance.T))
    root = axes * np.sqrt(np.maximum(values, 0.0))
    half = np.random.default_rng(seed).standard_normal((count // 2, len(values)))
    z = np.vstack([half, -half])
    return np.asarray((z @ root.T).reshape(-1, discs, 2))
