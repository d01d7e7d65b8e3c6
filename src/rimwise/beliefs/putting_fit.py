"""What the owner's putts say about their putting, with what is not known of it.

Three unknowns, each positive and lognormal before any putt: the angular spread, the half
distance of :class:`rimwise.beliefs.putting.PuttingModel`, and the spread that a metre a second
of wind adds, in quadrature. The centre of the first is the thrower's level. Putts are binomial.
The mode is found by Fisher scoring and the posterior summed on a grid laid along its axes, so
that no interval rests on a normal approximation.

Putts whose wind was not noted count as thrown in still air: their usual wind is then part of
the spread.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.beliefs.putting import PuttingModel, make_chance
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Putts
from rimwise.records.thrower import Level, Thrower

__all__ = [
    "LEVEL_PUTTING_SD_DEG",
    "MadeRate",
    "PredictiveCheck",
    "PuttTally",
    "PuttingFit",
    "PuttingPrior",
    "check_prediction",
    "fit_putts",
    "made_rates",
    "putting_prior",
    "tally_putts",
]

Floats = NDArray[np.float64]

#: Angular spread by level, degrees: top men about 1.0 (Vehtari 2026); the others from memory,
#: unverified, the recreational one that of a weekly league.
LEVEL_PUTTING_SD_DEG: dict[Level, float] = {
    Level.BEGINNER: 3.0,
    Level.RECREATIONAL: 2.2,
    Level.INTERMEDIATE: 1.8,
    Level.ADVANCED: 1.4,
    Level.TOP: 1.0,
}

#: Nodes along each axis of the posterior, and how many standard deviations they reach.
_NODES, _REACH = 19, 5.0
#: Logarithms of numbers beyond any putter: past them a node counts as one at the limit.
_BEYOND_ANYONE = (math.log(1e-6), math.log(1e3))
#: The search for the mode goes no farther than this in one step, prior standard deviations.
_LONGEST_STEP = 2.0
#: The grid is turned out of its axes, so that no two nodes share a value and the sums below a
#: quantile have no steps.
_TURN = np.linalg.qr(np.array([[3.0, 1.0, 2.0], [-1.0, 4.0, 1.0], [-2.0, -1.0, 5.0]]))[0]
#: The grid is laid anew, where the nodes found the posterior, while the weights are worth fewer
#: nodes than this (a normal posterior has about 250), and at most so often.
_ENOUGH, _MOST_GRIDS = 80.0, 5
#: Nodes lighter than this share of the heaviest are dropped.
_LIGHTEST = 1e-9
#: Evenings differ more than luck allows when a chance this small says so.
_BEYOND_LUCK = 0.01
#: At most so many parts are held out in turn.
_MOST_FOLDS = 10


@dataclass(frozen=True, slots=True)
class PuttingPrior:
    """What is believed of a putter before any putt: three medians and three log spreads.

    Parameters
    ----------
    sd_deg, half_m
        As in :class:`rimwise.beliefs.putting.PuttingModel`.
    wind_deg
        Angular spread that each m/s of wind adds, degrees; added in quadrature.
    sd_spread, half_spread, wind_spread
        Standard deviations of the logarithms of the three.
    """

    sd_deg: float
    half_m: float
    wind_deg: float
    sd_spread: float
    half_spread: float
    wind_spread: float

    def __post_init__(self) -> None:
        for item in fields(self):
            if not 0.0 < getattr(self, item.name) < math.inf:
                raise InputError(f"{item.name} of a putting prior must be above 0.")

    @property
    def centre(self) -> Floats:
        """Logarithms of the three medians."""
        return np.log([self.sd_deg, self.half_m, self.wind_deg])

    @property
    def spread(self) -> Floats:
        """Standard deviations of the three logarithms."""
        return np.array([self.sd_spread, self.half_spread, self.wind_spread])

    def values(self, u: ArrayLike) -> Floats:
        """Return (…, 3) spread, half distance and wind spread from standard normals (…, 3)."""
        logs = np.clip(self.centre + self.spread * np.asarray(u), *_BEYOND_ANYONE)
        return np.asarray(np.exp(logs))


def putting_prior(thrower: Thrower, assume: Assumptions) -> PuttingPrior:
    """Return what is believed of a thrower's putting before any putt.

    A putting spread that differs from the record's default was set by the owner and is the
    centre; otherwise the level of the stock style gives it.
    """
    own = thrower.putting_sd_deg
    default = next(f.default for f in fields(Thrower) if f.name == "putting_sd_deg")
    level = thrower.skill(thrower.stock.style).level
    return PuttingPrior(
        sd_deg=LEVEL_PUTTING_SD_DEG[level] if own == default else own,
        half_m=PuttingModel(own).half_m,
        wind_deg=assume.putt_wind_deg,
        sd_spread=assume.putt_sd_spread,
        half_spread=assume.putt_half_spread,
        wind_spread=assume.putt_wind_spread,
    )


@dataclass(frozen=True, eq=False)
class PuttTally:
    """Putts as arrays with one entry per distance and evening, all (n,).

    ``evening`` numbers the dates from 0; ``wind_m_s`` is 0 where no wind was noted.
    """

    evening: NDArray[np.intp]
    distance_m: Floats
    wind_m_s: Floats
    tried: Floats
    made: Floats

    def __len__(self) -> int:
        return len(self.tried)

    def take(self, keep: NDArray[np.bool_]) -> PuttTally:
        """Return the entries where ``keep`` is true."""
        return PuttTally(
            self.evening[keep], self.distance_m[keep], self.wind_m_s[keep],
            self.tried[keep], self.made[keep],
        )  # fmt: skip


def tally_putts(
    putts: Sequence[Putts], wind_m_s: Sequence[float | None] | None = None
) -> PuttTally:
    """Gather putts; ``wind_m_s`` has one entry for each, ``None`` where it is not known."""
    winds = [None] * len(putts) if wind_m_s is None else wind_m_s
    if len(winds) != len(putts):
        raise InputError(f"there are {len(putts)} putting records, but {len(winds)} winds.")
    number: dict[date, int] = {}
    for on in sorted({putt.on for putt in putts}):
        number[on] = len(number)
    return PuttTally(
        np.array([number[putt.on] for putt in putts], dtype=np.intp),
        np.array([putt.distance_m for putt in putts], dtype=np.float64),
        np.array([wind or 0.0 for wind in winds], dtype=np.float64),
        np.array([putt.tried for putt in putts], dtype=np.float64),
        np.array([putt.made for putt in putts], dtype=np.float64),
    )


# -- the posterior ------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class PuttingFit:
    """What is believed of a putter after their putts: weighted nodes.

    Attributes
    ----------
    prior, tally
        What it was computed from.
    u : (k, 3)
        Standard normal numbers of the nodes.
    weight : (k,)
        Their weights, which sum to one.
    dispersion
        How much more evenings differ than luck allows; 1 unless that is beyond doubt, and then
        the putts count for so many times less (McCullagh & Nelder 1989, quasi-likelihood).
    """

    prior: PuttingPrior
    tally: PuttTally
    u: Floats
    weight: Floats
    dispersion: float

    @property
    def values(self) -> Floats:
        """Spread (degrees), half distance (m) and wind spread (degrees per m/s) by node, (k, 3)."""
        return self.prior.values(self.u)

    def model(self) -> PuttingModel:
        """Return the putter of the posterior means, in still air."""
        sd_deg, half_m, _ = self.weight @ self.values
        return PuttingModel(float(np.clip(sd_deg, 0.3, 10.0)), float(np.clip(half_m, 3.0, 60.0)))

    def mean(self, name: str) -> float:
        """Return the posterior mean of "sd_deg", "half_m" or "wind_deg"."""
        return float(self.weight @ self.values[:, _PART[name]])

    def interval(self, name: str, share: float = 0.9) -> tuple[float, float]:
        """Return the central interval of "sd_deg", "half_m" or "wind_deg"."""
        low, high = _quantiles(self.values[:, _PART[name]], self.weight, share)
        return float(low), float(high)

    def chances(self, distance_m: ArrayLike, wind_m_s: ArrayLike = 0.0) -> Floats:
        """Return the chance to hole out for every node, (k, …)."""
        distance, wind = np.broadcast_arrays(
            np.asarray(distance_m, dtype=np.float64), np.asarray(wind_m_s, dtype=np.float64)
        )
        return _chances(self.values, distance, wind)

    def make_probability(self, distance_m: ArrayLike, wind_m_s: ArrayLike = 0.0) -> Floats:
        """Return the chance to hole out, averaged over what is not known."""
        return np.asarray(np.tensordot(self.weight, self.chances(distance_m, wind_m_s), 1))

    def band(
        self, distance_m: ArrayLike, wind_m_s: ArrayLike = 0.0, share: float = 0.9
    ) -> tuple[Floats, Floats]:
        """Return the central interval of the chance to hole out at each distance."""
        chances = self.chances(distance_m, wind_m_s)
        low, high = _quantiles(chances, self.weight, share)
        return low, high

    @property
    def covariance(self) -> Floats:
        """Covariance of ``u`` over the nodes, (3, 3)."""
        off = self.u - self.weight @ self.u
        return np.asarray((off * self.weight[:, None]).T @ off)

    def learned(self, name: str) -> float:
        """Return the share of the prior's variance that the putts took away, 0 to 1.

        Of the logarithm of "sd_deg", "half_m" or "wind_deg".
        """
        part = _PART[name]
        return float(np.clip(1.0 - self.covariance[part, part], 0.0, 1.0))


_PART = {"sd_deg": 0, "half_m": 1, "wind_deg": 2}


def fit_putts(prior: PuttingPrior, tally: PuttTally) -> PuttingFit:
    """Return the posterior of a putter; with no putt, the prior.

    Deterministic. The time grows with the number of different distances and winds.
    """
    fit = _fit(prior, tally, 1.0)
    dispersion = _dispersion(prior, tally, fit)
    return fit if dispersion == 1.0 else _fit(prior, tally, dispersion)


def _fit(prior: PuttingPrior, tally: PuttTally, dispersion: float) -> PuttingFit:
    cells = _merged(tally)
    centre, precision = _mode(prior, cells, dispersion)
    covariance = np.linalg.inv(precision)
    steps = np.linspace(-_REACH, _REACH, _NODES)
    z = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3) @ _TURN
    for _ in range(_MOST_GRIDS):
        u = centre + z @ np.linalg.cholesky(covariance).T
        density = _log_posterior(prior, cells, u, dispersion)
        weight = np.exp(density - density.max())
        weight /= weight.sum()
        if 1.0 / float(weight @ weight) >= _ENOUGH:
            break
        # Odd putts, which fit no putter, leave a posterior far from what the mode promised.
        centre = weight @ u
        off = u - centre
        covariance = (off * weight[:, None]).T @ off + 0.02 * covariance
    kept = weight > _LIGHTEST * weight.max()
    return PuttingFit(prior, tally, u[kept], weight[kept] / weight[kept].sum(), dispersion)


def _merged(tally: PuttTally) -> PuttTally:
    """Add up what was putted from one distance in one wind."""
    places = np.column_stack([tally.distance_m, tally.wind_m_s])
    found, which = np.unique(places, axis=0, return_inverse=True)
    which = which.reshape(-1)
    return PuttTally(
        np.zeros(len(found), dtype=np.intp),
        found[:, 0],
        found[:, 1],
        _totals(which, tally.tried, len(found)),
        _totals(which, tally.made, len(found)),
    )


def _totals(group: NDArray[np.intp], count: Floats, groups: int) -> Floats:
    return np.asarray(np.bincount(group, count, groups), dtype=np.float64)


def _chances(values: Floats, distance_m: Floats, wind_m_s: Floats) -> Floats:
    """Return chances (…, n) of putters ``values`` (…, 3) at distances and winds (n,)."""
    shape = (*values.shape[:-1], *([1] * distance_m.ndim))
    sd, half, wind = (values[..., part].reshape(shape) for part in range(3))
    return make_chance(distance_m, np.hypot(sd, wind * wind_m_s), half)


def _log_posterior(prior: PuttingPrior, cells: PuttTally, u: Floats, dispersion: float) -> Floats:
    """Return the log density at ``u`` (…, 3), up to a constant."""
    made = _chances(prior.values(u), cells.distance_m, cells.wind_m_s)
    likelihood = np.log(made) @ cells.made + np.log1p(-made) @ (cells.tried - cells.made)
    return np.asarray(likelihood / dispersion - 0.5 * np.sum(u * u, axis=-1))


def _slopes(prior: PuttingPrior, u: Floats, distance_m: Floats, wind_m_s: Floats) -> Floats:
    """Return how the chances at ``u`` (3,) follow it, (n, 3), by central differences."""
    step = 1e-5
    both = u + step * np.stack([np.eye(3), -np.eye(3)])
    up, down = _chances(prior.values(both), distance_m, wind_m_s)
    return np.asarray((up - down).T / (2.0 * step))


def information(
    prior: PuttingPrior, u: Floats, distance_m: Floats, wind_m_s: Floats | None = None
) -> Floats:
    """Return what one putt from each distance tells about ``u`` (3,): Fisher's, (n, 3, 3)."""
    wind = np.zeros_like(distance_m) if wind_m_s is None else wind_m_s
    made = _chances(prior.values(u), distance_m, wind)
    slopes = _slopes(prior, u, distance_m, wind)
    return np.asarray(
        slopes[:, :, None] * slopes[:, None, :] / (made * (1.0 - made))[:, None, None]
    )


def _mode(prior: PuttingPrior, cells: PuttTally, dispersion: float) -> tuple[Floats, Floats]:
    """Return the mode and the expected precision there, by damped Fisher scoring."""
    u, precision = np.zeros(3), np.eye(3)
    at = _log_posterior(prior, cells, u, dispersion)
    for _ in range(60):
        made = _chances(prior.values(u), cells.distance_m, cells.wind_m_s)
        slopes = _slopes(prior, u, cells.distance_m, cells.wind_m_s)
        off = (cells.made - cells.tried * made) / (made * (1.0 - made)) / dispersion
        told = information(prior, u, cells.distance_m, cells.wind_m_s)
        precision = np.eye(3) + np.tensordot(cells.tried, told, 1) / dispersion
        step = np.linalg.solve(precision, slopes.T @ off - u)
        step *= min(1.0, _LONGEST_STEP / float(np.abs(step).max() or 1.0))
        while True:
            there = _log_posterior(prior, cells, u + step, dispersion)
            if there >= at or np.abs(step).max() < 1e-9:
                break
            step = step / 2.0
        u, at = u + step, there
        if np.abs(step).max() < 1e-8:
            break
    return u, precision


def _dispersion(prior: PuttingPrior, tally: PuttTally, fit: PuttingFit) -> float:
    """Return Pearson's statistic per degree of freedom where luck cannot explain it, else 1."""
    from scipy.special import chdtrc

    freedom = len(tally) - 2
    if freedom < 3:
        return 1.0
    u = fit.weight @ fit.u
    made = _chances(prior.values(u), tally.distance_m, tally.wind_m_s)
    variance = tally.tried * made * (1.0 - made)
    statistic = float(np.sum((tally.made - tally.tried * made) ** 2 / variance))
    beyond = statistic > freedom and float(chdtrc(freedom, statistic)) < _BEYOND_LUCK
    return statistic / freedom if beyond else 1.0


def _quantiles(values: Floats, weight: Floats, share: float) -> tuple[Floats, Floats]:
    """Return the central interval over the first axis of ``values`` (k, …)."""
    flat = values.reshape(len(values), -1)
    order = np.argsort(flat, axis=0)
    below = np.cumsum(weight[order], axis=0) - 0.5 * weight[order]
    ends = (0.5 * (1.0 - share), 0.5 * (1.0 + share))
    found = [
        [np.interp(end, below[:, j], flat[order[:, j], j]) for j in range(flat.shape[1])]
        for end in ends
    ]
    low, high = (np.array(row).reshape(values.shape[1:]) for row in found)
    return low, high


# -- rates, and the check against evenings held out -----------------------------------------


@dataclass(frozen=True, slots=True)
class MadeRate:
    """What was made from one distance: ``low`` to ``high`` is a 90 % interval of the rate.

    Jeffreys' interval for a share (Brown, Cai & DasGupta 2001).
    """

    distance_m: float
    tried: int
    made: int
    low: float
    high: float


def made_rates(tally: PuttTally, width_m: float = 0.5) -> tuple[MadeRate, ...]:
    """Return the rates by distance, near ones in steps of ``width_m`` counted together."""
    from scipy.special import betaincinv

    step = np.round(tally.distance_m / width_m)
    rates = []
    for one in np.unique(step):
        here = tally.take(step == one)
        tried, made = here.tried.sum(), here.made.sum()
        low, high = betaincinv(made + 0.5, tried - made + 0.5, [0.05, 0.95])
        rates.append(
            MadeRate(
                distance_m=float(np.average(here.distance_m, weights=here.tried)),
                tried=int(tried),
                made=int(made),
                low=0.0 if made == 0 else float(low),
                high=1.0 if made == tried else float(high),
            )
        )
    return tuple(rates)


@dataclass(frozen=True, slots=True)
class PredictiveCheck:
    """How well putts held out were foreseen: mean log score per putt, nearer 0 is better.

    ``level`` uses the prior alone, ``rates`` each distance's own rate in the other evenings.
    The standard errors are of the difference to ``fitted``, clustered by evening.
    """

    putts: int
    evenings: int
    fitted: float
    level: float
    level_se: float
    rates: float
    rates_se: float


def check_prediction(prior: PuttingPrior, tally: PuttTally) -> PredictiveCheck | None:
    """Hold evenings out in turn and foresee them from the others; ``None`` below two evenings."""
    evenings = int(tally.evening.max()) + 1 if len(tally) else 0
    if evenings < 2:
        return None
    nothing = fit_putts(prior, tally.take(np.zeros(len(tally), dtype=np.bool_)))
    folds = min(evenings, _MOST_FOLDS)
    scores = np.empty((evenings, 3))
    for fold in range(folds):
        others = tally.take(tally.evening % folds != fold)
        fit = fit_putts(prior, others)
        for evening in range(fold, evenings, folds):
            held = tally.take(tally.evening == evening)
            scores[evening] = (
                _log_predictive(fit, held),
                _log_predictive(nothing, held),
                _log_rates(others, held),
            )
    tried = _totals(tally.evening, tally.tried, evenings)
    level, level_se = _per_putt(scores[:, 0] - scores[:, 1], tried)
    rates, rates_se = _per_putt(scores[:, 0] - scores[:, 2], tried)
    fitted = float(scores[:, 0].sum() / tried.sum())
    return PredictiveCheck(
        int(tried.sum()), evenings, fitted, fitted - level, level_se, fitted - rates, rates_se
    )


def _per_putt(gains: Floats, tried: Floats) -> tuple[float, float]:
    """Return the mean gain per putt and its standard error, a ratio over evenings."""
    mean = gains.sum() / tried.sum()
    count = len(gains)
    off = gains - mean * tried
    error = math.sqrt(count / (count - 1) * float(np.sum(off**2))) / tried.sum()
    return float(mean), float(error)


def _log_predictive(fit: PuttingFit, held: PuttTally) -> float:
    made = fit.chances(held.distance_m, held.wind_m_s)
    told = np.log(made) @ held.made + np.log1p(-made) @ (held.tried - held.made)
    most = float(told.max())
    return most + math.log(float(fit.weight @ np.exp(told - most)))


def _log_rates(others: PuttTally, held: PuttTally) -> float:
    """Foresee an evening from each distance's own rate, Jeffreys' prior for each distance."""
    from scipy.special import betaln

    total = 0.0
    for distance_m in np.unique(held.distance_m):
        now, before = held.distance_m == distance_m, others.distance_m == distance_m
        made, missed = held.made[now].sum(), (held.tried - held.made)[now].sum()
        had_made = others.made[before].sum() + 0.5
        had_missed = (others.tried - others.made)[before].sum() + 0.5
        total += float(betaln(had_made + made, had_missed + missed) - betaln(had_made, had_missed))
    return total
