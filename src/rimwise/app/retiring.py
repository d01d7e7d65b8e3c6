"""How long each disc will do its job: wear, drift, what is left of it, and what to do about it.

Nothing is retired here. Advice rests on how much a disc lost by wear, where it lands now, which
other discs land there, and on the limits of the technical standards; the owner decides.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date

from rimwise.app.believing import counted_words, every_disc
from rimwise.app.box import assumptions_of, disc_named, pick, roles_of, units_of
from rimwise.app.drifting import drift_words
from rimwise.app.evidence import evidence_of
from rimwise.app.learning import WRONG_SIDE_M, DiscTold, Learnt, fade_side, told_discs
from rimwise.app.reports import load_plan
from rimwise.app.wearing import recorded_in, wear_histories
from rimwise.beliefs.drift import Drift, Now, learn_now
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.beliefs.unknowns import unknowns_of
from rimwise.beliefs.wear import WearHistory, last_day, throws_left, wear_on
from rimwise.errors import NotFoundError, StoreError
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Disc
from rimwise.records.evidence import Recorded
from rimwise.store.store import Store

__all__ = ["DiscLife", "LifeReport", "tell_lives"]

#: Heaviest disc for its diameter, and at all (technical standards of the governing body,
#: secondary copy); a diameter that is not on record is not guessed.
MOST_G_PER_CM, MOST_G = 8.3, 200.0
#: Days of use that a rate can be told from, and days in a month.
_FEWEST_DAYS, _MONTH_DAYS = 28, 30.4
#: A disc counts as less worn than another by this much wear.
_LESS_WORN = 0.1
#: Standard deviations of a weight beyond which it is surely so.
_SURELY = 1.645
#: Two discs that land this near each other, to the side and out, do one job.
_SAME_SIDE_M, _SAME_REACH_M = 5.0, 8.0
#: A crack in an owner's words, unless they say that there is none.
_CRACKED = re.compile(r"(?<!\bno )(?<!\bnot )(?<!\bun)crack", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class DiscLife:
    """One disc's wear and what is left of it.

    Parameters
    ----------
    throws
        On record: logged, and its share of the rounds of its carries.
    wear, wear_sd
        From 0 (new) to 1 (beaten in).
    lost, lost_sd
        Turn and fade together that wear took since it was new, in printed numbers.
    throws_left, throws_left_low, throws_left_high
        Until it has lost 63 % of what wear can take: the middle, and the ends that hold eight
        of ten cases.
    months_left, months_left_low, months_left_high
        The same at its present rate of use; ``None`` where too little is on record.
    drift
        Between its earlier and later evidence; ``None`` where none is telling.
    advice
        ``keep``, ``replace soon``, ``new job``, ``retire`` or ``check``.
    """

    disc: str
    role: str
    throws: float
    knocks: int
    wear: float
    wear_sd: float
    lost: float
    lost_sd: float
    throws_left: float
    throws_left_low: float
    throws_left_high: float
    months_left: float | None
    months_left_low: float | None
    months_left_high: float | None
    drift: Drift | None
    advice: str
    sentence: str


@dataclass(frozen=True, slots=True)
class LifeReport:
    """All of them, those that need something first."""

    discs: tuple[DiscLife, ...]
    rests_on: str


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """What the advice on every disc rests on."""

    posterior: Posterior
    told: dict[str, DiscTold]
    roles: dict[str, str]
    carried: frozenset[str]
    planned: bool
    fade: float
    assume: Assumptions


def tell_lives(store: Store, disc: str | None = None, *, thrower: str | None = None) -> LifeReport:
    """Return wear, drift and advice for every disc that can be chosen, or for one.

    Raises
    ------
    InputError, NotFoundError
        When there is no disc or thrower, or the one named is not known.
    """
    assume = assumptions_of(store)
    wanted = None if disc is None else disc_named(store, disc).id
    recorded, evidence = recorded_in(store, latest=0), evidence_of(store, assume)
    who, fleet = pick(store.throwers, "thrower", thrower), every_disc(store, assume)
    now = Now(prior_posterior(unknowns_of(fleet, who, assume)), evidence, ())
    if len(evidence):
        now = learn_now(fleet, who, assume, evidence)
    posterior = now.posterior
    discs = {one.id: one for one in store.discs.all()}
    available = frozenset(name for name, one in discs.items() if one.status.available)
    roles = roles_of(store)
    told = told_discs(Learnt(posterior, now.evidence, available, roles, units_of(store)))
    molds = {mold.name: mold for mold in store.molds.all()}
    carried = _carried(store)
    known = _Known(
        posterior=posterior,
        told={one.disc: one for one in told if one.disc in available or one.disc == wanted},
        roles=roles,
        carried=available if carried is None else carried,
        planned=carried is not None,
        fade=fade_side(posterior),
        assume=assume,
    )
    asked = sorted(available) if wanted is None else [wanted]
    drifts = {one.disc_id: one for one in now.drifts}
    histories = wear_histories(store, assume, recorded)
    plastics = {plastic.name: plastic for plastic in store.plastics.all()}
    lives = []
    for name in asked:
        own = discs[name]
        durability = plastics[own.plastic].durability
        history = histories.get(name, WearHistory(durability))
        diameter_m = molds[own.mold].diameter_m
        limit_g = MOST_G if diameter_m is None else MOST_G_PER_CM * 100.0 * diameter_m
        lives.append(_life(known, own, history, recorded, drifts.get(name), limit_g))
    order = ("check", "retire", "new job", "replace soon", "keep")
    lives.sort(key=lambda life: (order.index(life.advice), -life.lost))
    rests_on = counted_words(evidence) if len(evidence) else "printed numbers and wear on record"
    return LifeReport(tuple(lives), rests_on)


def _carried(store: Store) -> frozenset[str] | None:
    """Return the discs of the latest plan; ``None`` where nothing is planned."""
    try:
        return frozenset(load_plan(store).chosen)
    except (NotFoundError, StoreError):
        return None


def _life(
    known: _Known,
    disc: Disc,
    history: WearHistory,
    recorded: Recorded,
    drift: Drift | None,
    limit_g: float,
) -> DiscLife:
    assume = known.assume
    last = last_day(recorded) or date.max
    wear, wear_sd = disc.wear, assume.wear_grade_noise
    if history.grades:
        wear, wear_sd = wear_on(history, [last], assume)[0].tolist()
    else:  # nothing of it is on record: it is as its own record says
        history = WearHistory(history.durability, grades=((last, disc.wear),))
    lost, lost_sd = _lost(known.posterior, disc, wear, wear_sd, assume)
    left = throws_left(history, last, assume)
    months = [_months(history, last, throws) for throws in left]
    gone = lost if drift is None else max(lost, -drift.numbers)
    advice, why = _advice(known, disc, gone, months[0], limit_g)
    return DiscLife(
        disc=disc.id,
        role=known.roles[disc.id],
        throws=sum(use.throws for use in history.uses),
        knocks=len(history.knocks),
        wear=wear,
        wear_sd=wear_sd,
        lost=lost,
        lost_sd=lost_sd,
        throws_left=left[0],
        throws_left_low=left[1],
        throws_left_high=left[2],
        months_left=months[0],
        months_left_low=months[1],
        months_left_high=months[2],
        drift=drift,
        advice=advice,
        sentence=" ".join(
            [
                _worn_words(disc, lost, lost_sd),
                *([] if drift is None else [drift_words(drift)]),
                why,
            ]
        ),
    )


def _lost(
    posterior: Posterior, disc: Disc, wear: float, wear_sd: float, assume: Assumptions
) -> tuple[float, float]:
    """Return what wear took of turn and fade together, and its standard deviation."""
    row = posterior.unknowns.names.index(("wear", disc.plastic, 0))
    rate = 1.0 + assume.wear_rate_sd * float(posterior.mean[row])
    rate_sd = assume.wear_rate_sd * float(posterior.covariance[row, row]) ** 0.5
    whole = assume.wear_turn + assume.wear_fade
    return whole * rate * wear, whole * math.hypot(rate * wear_sd, rate_sd * wear)


def _months(history: WearHistory, last: date, left: float) -> float | None:
    """Return how long throws last at the disc's rate of use up to the last day on record."""
    if not history.uses:
        return None
    days = (last - history.uses[0].on).days
    if days < _FEWEST_DAYS:
        return None
    return left / (sum(use.throws for use in history.uses) / days * _MONTH_DAYS)


def _advice(
    known: _Known, disc: Disc, gone: float, months: float | None, limit_g: float
) -> tuple[str, str]:
    """Return one word of advice and why.

    Parameters
    ----------
    gone
        Turn and fade together that wear took, or that its throws show it lost, if more.
    """
    if _CRACKED.search(disc.condition):
        return "retire", (
            "It is cracked: do not throw it, a crack can cut a hand, and events allow no "
            "cracked disc."
        )
    fleet = known.posterior.unknowns.fleet
    place = fleet.index(disc.id)
    weight_g, doubt_g = 1000.0 * fleet.mass_kg[place], 1000.0 * fleet.mass_sd_kg[place]
    if weight_g - _SURELY * doubt_g > limit_g:
        return "check", (
            f"At {weight_g:.0f} g it is over the {limit_g:.0f} g that the technical standards "
            "allow its diameter; weigh it before an event."
        )
    role, assume = known.roles[disc.id], known.assume
    if gone >= assume.job_lost and disc.id in known.carried and known.planned:
        return "keep", "It is another disc than it was, and your carry takes it as it is now."
    if gone >= assume.job_lost:
        side_m = known.fade * known.told[disc.id].left_m.mean
        near = _rivals(known, disc.id)
        if side_m < -WRONG_SIDE_M and not any(name in known.carried for name in near):
            return "new job", (
                f"It has become the understable {role} that your carry lacks: give it that job."
            )
        if near:
            return "retire", (
                f"It no longer does what it was made for, and {near[0]} lands where it does: "
                "retire it, or keep it for practice."
            )
        return "keep", "It no longer does what it was made for, but no other disc lands there."
    if months is not None and months < assume.replace_months and disc.id in known.carried:
        return "replace soon", (
            f"At your rate it is beaten in {_in_months(months)}: look for another "
            f"{disc.mold} {disc.plastic}, and throw it in before you need it."
        )
    return "keep", "It does its job."


def _rivals(known: _Known, disc: str) -> list[str]:
    """Return less worn discs of its role that land near it, nearest first."""
    own, fleet = known.told[disc], known.posterior.unknowns.fleet
    wear = dict(zip(fleet.ids, fleet.wear.tolist(), strict=True))
    near = [
        (math.hypot(aside, out), name)
        for name, other in known.told.items()
        for aside in (other.left_m.mean - own.left_m.mean,)
        for out in (other.reach_m.mean - own.reach_m.mean,)
        if known.roles[name] == known.roles[disc]
        and wear[name] < wear[disc] - _LESS_WORN
        and abs(aside) < _SAME_SIDE_M
        and abs(out) < _SAME_REACH_M
    ]
    return [name for _, name in sorted(near)]


def _worn_words(disc: Disc, lost: float, lost_sd: float) -> str:
    if lost < 0.15:
        return f"{disc.id} flies as good as new."
    low, high = max(lost - 1.2816 * lost_sd, 0.0), lost + 1.2816 * lost_sd
    return (
        f"{disc.id} has lost about {words.number(lost, 1)} of turn and fade to wear "
        f"({words.number(low, 1)} to {words.number(high, 1)})."
    )


def _in_months(months: float) -> str:
    return "within a month" if months < 1.0 else f"in about {words.plural(round(months), 'month')}"
