"""Did it come true? Real landings and scores against what was told of them.

Every throw is predicted by beliefs learnt only from what was on record before its day, every
round by beliefs from before the first round asked about: an outside test that the owner can run.
Discs, weights and arm count as they are on file now: what changed in them has no date.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from rimwise.app.believing import every_disc
from rimwise.app.box import assumptions_of, available_discs, pick, units_of
from rimwise.app.evidence import evidence_of, weather_day
from rimwise.app.files import Written, write_whole
from rimwise.app.putting import putting_model
from rimwise.app.wearing import recorded_in
from rimwise.beliefs.checking import (
    LandingCheck,
    beyond_chance,
    check_landings,
    mean_and_error,
    share_interval,
    worth_of,
)
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.beliefs.unknowns import unknowns_of
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import day_of
from rimwise.decide.demand import build_demand
from rimwise.errors import InputError
from rimwise.pictures.checking import LandingDots, ScoreBar, checking_svg
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import ScenarioDay
from rimwise.records.evidence import Recorded, Round
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = [
    "CheckReport",
    "HoleChecked",
    "LandingsChecked",
    "RoundChecked",
    "Share",
    "check_log",
    "draw_check",
]

Progress = Callable[[str, float], None]

SEED = 20262
#: What is asked about when no day is named: the last month of the log, and of its days of play
#: the latest; beliefs are learnt anew before each of them.
MONTH, MOST_DAYS = timedelta(days=31), 10
#: Fewer throws or rounds than these say little, and the report says so.
FEW_THROWS, FEW_ROUNDS = 20, 4


@dataclass(frozen=True, slots=True)
class Share:
    """How many came to rest inside the region meant to hold a share, and a 95 % interval.

    Throws of one day that go together count for fewer in the interval.
    """

    meant: float
    inside: int
    of: int
    low: float
    high: float

    @property
    def honest(self) -> bool:
        """Whether the meant share lies in the interval."""
        return self.low <= self.meant <= self.high


@dataclass(frozen=True, slots=True)
class LandingsChecked:
    """All throws asked about, metres; errors are standard errors, throws of one day together.

    Parameters
    ----------
    shares
        Of the regions that should hold 5 and 9 of 10.
    longer_m, left_m
        How much farther and more to the left throws rested than told, on average.
    miss_m, rim_miss_m
        Mean distance between told and real, by beliefs and by printed numbers alone.
    gain_m
        Their difference, throw by throw; positive when beliefs were nearer.
    """

    throws: int
    days: int
    shares: tuple[Share, ...]
    longer_m: tuple[float, float]
    left_m: tuple[float, float]
    miss_m: tuple[float, float]
    rim_miss_m: tuple[float, float]
    gain_m: tuple[float, float]


@dataclass(frozen=True, slots=True)
class RoundChecked:
    """One round: strokes told, the standard error of that, and what was scored.

    ``guessed`` says that the round named no day on file, so that a mild and calm one was taken;
    ``gone`` counts its holes that the course no longer has, left out of both sums. The error is
    that of the simulation alone.
    """

    on: str
    day: str
    guessed: bool
    holes: int
    told: float
    told_se: float
    scored: int
    gone: int = 0


@dataclass(frozen=True, slots=True)
class HoleChecked:
    """One hole over all rounds: mean strokes above told, and its standard error.

    NaN when no hole was played twice, since nothing tells its spread then.
    """

    hole: str
    rounds: int
    above: float
    above_se: float


@dataclass(frozen=True, slots=True)
class CheckReport:
    """What was told against what happened; ``None`` or empty where nothing is on record."""

    since: str
    until: str
    landings: LandingsChecked | None
    rounds: tuple[RoundChecked, ...]
    above: tuple[float, float] | None
    round_sd: float | None
    holes: tuple[HoleChecked, ...]
    sentences: tuple[str, ...]
    units: Units
    dots: tuple[tuple[float, float], ...]
    regions_m: tuple[tuple[float, float, float], ...]


def check_log(
    store: Store,
    *,
    since: date | None = None,
    scores: bool = True,
    thrower: str | None = None,
    progress: Progress = lambda _what, _share: None,
) -> CheckReport:
    """Hold what was logged against what would have been told before it.

    Parameters
    ----------
    since
        First day asked about; when not given, the tenth last day of throws, or a month before the
        last throw or round where that is later.
    scores
        Whether rounds are checked too, which takes about as long as a plan.

    Raises
    ------
    InputError
        When no throw and no round with scores is on record from that day on.
    """
    recorded, units = recorded_in(store), units_of(store)
    days = [throw.on for throw in recorded.throws] + [one.on for one in recorded.rounds]
    if not days:
        raise InputError(
            "there is nothing to check: no throw and no round is on record; note one with "
            '`rimwise log throw DISC "64m 5L"` or `rimwise log round "4 3 3 …"`.'
        )
    last = max(days)
    first = _usual_first(recorded, last) if since is None else since
    assume = assumptions_of(store)
    who = pick(store.throwers, "thrower", thrower)
    asked = _Asked(store, who, assume, recorded)
    found = _landings(asked, first, progress)
    rounds = [one for one in recorded.rounds if one.on >= first] if scores else []
    if not found and not rounds:
        raise InputError(
            f"nothing is on record since {words.date_words(first.isoformat())}; the last is of "
            f"{words.date_words(last.isoformat())}, so ask with --since an earlier day."
        )
    landings = None if not found else _checked(found)
    scored = _rounds(asked, rounds, progress) if rounds else _Scored()
    mine = [check for check, _ in found]
    return CheckReport(
        since=first.isoformat(),
        until=last.isoformat(),
        landings=landings,
        rounds=scored.rounds,
        above=scored.above,
        round_sd=scored.round_sd,
        holes=scored.holes,
        sentences=(
            *(_landing_words(landings, units) if landings else ()),
            *_score_words(scored),
        ),
        units=units,
        dots=tuple((float(one.off_m[1]), float(one.off_m[0])) for one in mine),
        regions_m=_regions(mine),
    )


def _usual_first(recorded: Recorded, last: date) -> date:
    """Return the first day asked about when none is named."""
    month = last - MONTH
    thrown = sorted({throw.on for throw in recorded.throws if throw.on >= month})
    return thrown[-MOST_DAYS] if len(thrown) > MOST_DAYS else month


def draw_check(report: CheckReport, path: Path) -> Written:
    """Draw landings and scores into an SVG file.

    Raises
    ------
    StoreError
        When the file cannot be written.
    """
    landings = None
    if report.landings is not None:
        landings = LandingDots(report.dots, report.regions_m)
    bars = [ScoreBar(one.on, one.told, report.round_sd, one.scored) for one in report.rounds]
    said = " ".join(report.sentences)
    return write_whole(path, checking_svg(landings, bars, said, report.units))


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What the whole check rests on."""

    store: Store
    thrower: Thrower
    assume: Assumptions
    recorded: Recorded

    def before(self, on: date) -> _Before:
        """Return what was believed before a day, by the way of plans, and that day's throws."""
        earlier = _earlier(self.recorded, on, round(self.assume.learn_throws))
        fleet = every_disc(self.store, self.assume, earlier)
        whole = evidence_of(self.store, self.assume, _with_throws_of(earlier, self.recorded, on))
        seen = replace(whole, throws=tuple(one for one in whole.throws if one.on < on))
        rim = prior_posterior(unknowns_of(fleet, self.thrower, self.assume))
        if not len(seen):
            return _Before(rim, rim, fleet, whole)
        from rimwise.beliefs.drift import learn_now

        posterior = learn_now(fleet, self.thrower, self.assume, seen).posterior
        return _Before(posterior, rim, fleet, whole)


@dataclass(frozen=True, slots=True, eq=False)
class _Before:
    """Beliefs from before a day; ``evidence`` has the throws of that day too."""

    beliefs: Posterior
    rim: Posterior
    fleet: Fleet
    evidence: Evidence


def _earlier(recorded: Recorded, on: date, most: int) -> Recorded:
    """Return what was recorded of days before one, with only the latest throws of each disc."""
    earlier = Recorded(
        throws=tuple(one for one in recorded.throws if one.on < on),
        comparisons=tuple(one for one in recorded.comparisons if one.on < on),
        grip_grades=tuple(one for one in recorded.grip_grades if one.on < on),
        condition_grades=tuple(one for one in recorded.condition_grades if one.on < on),
        knocks=tuple(one for one in recorded.knocks if one.on < on),
        putts=tuple(one for one in recorded.putts if one.on < on),
        rounds=tuple(one for one in recorded.rounds if one.on < on),
    )
    return earlier.latest(most)


def _with_throws_of(earlier: Recorded, recorded: Recorded, on: date) -> Recorded:
    own = tuple(throw for throw in recorded.throws if throw.on == on)
    return replace(earlier, throws=earlier.throws + own)


# -- landings -----------------------------------------------------------------------------


def _landings(
    asked: _Asked, first: date, progress: Progress
) -> list[tuple[LandingCheck, LandingCheck]]:
    """Return every throw since a day, against beliefs and against printed numbers alone."""
    found = []
    days = sorted({throw.on for throw in asked.recorded.throws if throw.on >= first})
    for number, on in enumerate(days):
        progress(f"throws of {words.date_words(on.isoformat())}", number / len(days))
        known = asked.before(on)
        own = [throw for throw in known.evidence.throws if throw.on == on]
        told = check_landings(known.beliefs, own, known.evidence, SEED)
        printed = check_landings(known.rim, own, known.evidence, SEED)
        found += list(zip(told, printed, strict=True))
    return found


def _checked(found: Sequence[tuple[LandingCheck, LandingCheck]]) -> LandingsChecked:
    told = [check for check, _ in found]
    days = [check.throw.on for check in told]
    shares = []
    for meant in (0.5, 0.9):
        within = [check.place < meant for check in told]
        worth = worth_of(within, days)
        ends = share_interval(sum(within) * worth / len(told), worth)
        shares.append(Share(meant, sum(within), len(told), *ends))
    missed = [math.hypot(*check.off_m) for check in told]
    rim_missed = [math.hypot(*rim.off_m) for _, rim in found]
    return LandingsChecked(
        throws=len(told),
        days=len(set(days)),
        shares=tuple(shares),
        longer_m=mean_and_error([float(check.off_m[0]) for check in told], days),
        left_m=mean_and_error([float(check.off_m[1]) for check in told], days),
        miss_m=mean_and_error(missed, days),
        rim_miss_m=mean_and_error(rim_missed, days),
        gain_m=mean_and_error(
            [rim - own for rim, own in zip(rim_missed, missed, strict=True)], days
        ),
    )


def _regions(checks: Sequence[LandingCheck]) -> tuple[tuple[float, float, float], ...]:
    """Return ellipses that hold 5 and 9 of 10 predicted throws about their middles.

    Each as half axes across and along the aim line and the covariance's share of both, m: the
    mean covariance of all predictions, taken as normal.
    """
    if not checks:
        return ()
    mean = np.mean([check.root @ check.root.T for check in checks], axis=0)
    found = []
    for meant in (0.5, 0.9):
        scale = -2.0 * math.log(1.0 - meant)
        found.append((scale * mean[1, 1], scale * mean[0, 0], scale * mean[0, 1]))
    return tuple((float(a), float(b), float(c)) for a, b, c in found)


# -- scores -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Scored:
    """Rounds against what was told, as in :class:`CheckReport`."""

    rounds: tuple[RoundChecked, ...] = ()
    above: tuple[float, float] | None = None
    round_sd: float | None = None
    holes: tuple[HoleChecked, ...] = ()


def _rounds(asked: _Asked, rounds: Sequence[Round], progress: Progress) -> _Scored:
    """Return every round against what beliefs from before the first of them tell."""
    known, assume = asked.before(min(one.on for one in rounds)), asked.assume
    posterior, whole = known.beliefs, known.fleet
    have = {disc.id for disc in available_discs(asked.store)}
    kept = [i for i, name in enumerate(whole.ids) if name in have]
    fleet = posterior.learnt_fleet(whole.subset(kept))
    arms = tuple(posterior.arm(style) for style in posterior.unknowns.styles)
    who = posterior.thrower()
    simulator = Simulator(who, assume, seed=SEED, learnt_arms=arms)
    putting = putting_model(asked.store, asked.thrower, assume)
    told, off = [], []
    for course_name in sorted({one.course for one in rounds}):
        own = [one for one in rounds if one.course == course_name]
        days, guessed = _days(asked, own)
        names = sorted(days)
        demand = build_demand(
            simulator,
            fleet,
            [day_of(days[name], 1.0 / len(names), who, assume) for name in names],
            asked.store.courses.get(course_name),
            putting,
            assume,
            progress=progress,
        )
        on_file = {hole.ref for hole in asked.store.courses.get(course_name).holes}
        for one, guess in zip(own, guessed, strict=True):
            day = names.index(_named(asked, one).name)
            carried = _carried(asked, one, fleet.ids)
            holes = [
                (score.hole, *demand.strokes_on(score.hole, day, carried), score.strokes)
                for score in one.scores
                if score.hole in on_file
            ]
            if not holes:
                continue
            told.append(
                RoundChecked(
                    on=one.on.isoformat(),
                    day=names[day],
                    guessed=guess,
                    holes=len(holes),
                    told=sum(mean for _, mean, _, _ in holes),
                    told_se=math.sqrt(sum(se * se for _, _, se, _ in holes)),
                    scored=sum(strokes for *_, strokes in holes),
                    gone=len(one.scores) - len(holes),
                )
            )
            off += [(hole, one.on, strokes - mean) for hole, mean, _, strokes in holes]
    if not told:
        return _Scored()
    above = [one.scored - one.told for one in told]
    mean, se = mean_and_error(above, [one.on for one in told])
    spread = float(np.std(above, ddof=1)) if len(above) > 1 else None
    own_se = float(np.mean([one.told_se for one in told]))
    return _Scored(tuple(told), (mean, math.hypot(se, own_se)), spread, _holes(off))


def _holes(off: Sequence[tuple[str, date, float]]) -> tuple[HoleChecked, ...]:
    """Return every hole's strokes above told, most first; errors from all holes' common spread."""
    by_hole: dict[str, list[float]] = {}
    for hole, _, above in off:
        by_hole.setdefault(hole, []).append(above)
    centred = [a - float(np.mean(own)) for own in by_hole.values() for a in own]
    free = len(off) - len(by_hole)
    sd = math.sqrt(sum(a * a for a in centred) / free) if free else math.nan
    found = [
        HoleChecked(hole, len(own), float(np.mean(own)), sd / math.sqrt(len(own)))
        for hole, own in by_hole.items()
    ]
    return tuple(sorted(found, key=lambda one: -one.above))


def _named(asked: _Asked, one: Round) -> ScenarioDay:
    return weather_day(asked.store, one.conditions, one.weather)


def _days(asked: _Asked, rounds: Sequence[Round]) -> tuple[dict[str, ScenarioDay], list[bool]]:
    on_file = {day.name for kind in asked.store.conditions.all() for day in kind.days}
    days = {}
    guessed = []
    for one in rounds:
        day = _named(asked, one)
        days[day.name] = day
        guessed.append(one.conditions not in on_file and not one.weather)
    return days, guessed


def _carried(asked: _Asked, one: Round, ids: Sequence[str]) -> tuple[int, ...] | None:
    """Return the discs of the carry that a round names; ``None``, all, when it names none."""
    made = [
        carry
        for _, carry in asked.store.carries.all()
        if carry.name == one.carry and carry.on <= one.on
    ]
    if not one.carry or not made:
        return None
    latest = max(made, key=lambda carry: carry.on)
    return tuple(ids.index(disc) for disc in latest.disc_ids if disc in ids) or None


# -- words --------------------------------------------------------------------------------


def _landing_words(checked: LandingsChecked, units: Units) -> tuple[str, ...]:
    said = []
    half, most = checked.shares
    for share, meant in ((most, "9 of 10"), (half, "half of them")):
        said.append(
            f"Of {words.plural(checked.throws, 'throw')} on "
            f"{words.plural(checked.days, 'day')}, {share.inside} came to rest where {meant} "
            f"should: {words.chance(share.inside / share.of)} (it may be "
            f"{100 * share.low:.0f} to {100 * share.high:.0f} of 100 in the long run), "
            f"{'which agrees with what was told' if share.honest else _unlike(share)}."
        )
    days = checked.days
    longer = _off(checked.longer_m, days, "longer", "shorter", units)
    left = _off(checked.left_m, days, "more to the left", "more to the right", units)
    said.append(f"They rested {longer} and {left} than told.")
    said.append(
        f"A throw rested {_near(checked.miss_m[0], units)} from the middle of what was told for "
        f"it, {_against_rim(checked, units)} what the printed numbers say."
    )
    if days == 1:
        said.append("One day's throws share its luck, so nothing tells chance from habit yet.")
    if checked.throws < FEW_THROWS or checked.days < 3:
        said.append(
            f"That is little: log at least {FEW_THROWS} throws on three days or more, good and "
            "bad ones alike, since a log of good throws alone flatters."
        )
    return tuple(said)


def _near(length_m: float, units: Units) -> str:
    """Say a short length to a tenth of a metre, or to the foot."""
    size = words.in_units(abs(length_m), units)
    return f"{words.number(size, 1 if units == 'm' else 0)} {units}"


def _against_rim(checked: LandingsChecked, units: Units) -> str:
    if abs(checked.gain_m[0]) < 0.05:
        return "as far as from"
    return f"{_off(checked.gain_m, checked.days, 'less', 'more', units)} than from"


def _unlike(share: Share) -> str:
    """Say what a share that is not as told means."""
    if share.high < share.meant:
        return "fewer than told: trust places less than they are shown"
    return "more than told: throws are steadier than is shown"


def _off(off: tuple[float, float], days: int, more: str, less: str, units: Units) -> str:
    mean, se = off
    size = _near(mean, units)
    if math.isnan(se):
        return f"{size} {more if mean >= 0.0 else less}"
    sure = "" if beyond_chance(mean, se, days) else ", which may be chance"
    return f"{size} {more if mean >= 0.0 else less} (± {_error(se, units)}{sure})"


def _error(se_m: float, units: Units) -> str:
    """Say an error, never as nothing."""
    least_m = 0.1 if units == "m" else words.METRES_PER_FOOT
    return _near(se_m, units) if se_m >= least_m else f"less than {_near(least_m, units)}"


def _score_words(scored: _Scored) -> tuple[str, ...]:
    rounds, holes = scored.rounds, scored.holes
    if not rounds or scored.above is None:
        return ()
    mean, se = scored.above
    days = len({one.on for one in rounds})
    certain = beyond_chance(mean, se, days)
    size = f"{words.number(abs(mean), 1)} strokes {'above' if mean >= 0.0 else 'below'}"
    said = []
    if len(rounds) == 1:
        said.append(f"The one round was {size} what was told; one round says little.")
    elif math.isnan(se):
        said.append(f"The rounds of one day went {size} what was told; one day says little.")
    else:
        sure = "more than chance" if certain else "which may be chance"
        said.append(
            f"{words.plural(len(rounds), 'round')} went {size} what was told on average, "
            f"± {words.number(se, 1)}: {sure}."
        )
    if certain and mean > 1.0:
        said.append(
            "What is told takes the best disc and line for every throw; the rest is choices, "
            "blunders and what the course's record leaves out."
        )
    worst = [one for one in holes if one.above > 2.0 * one.above_se and one.above > 0.5][:3]
    if worst:
        told = [f"hole {one.hole} ({words.number(one.above, 1)})" for one in worst]
        said.append(f"It cost most more than told on {words.joined(told)}.")
    gone = sum(one.gone for one in rounds)
    if gone:
        said.append(
            f"{words.plural(gone, 'score')} of holes that the course no longer has "
            f"{'is' if gone == 1 else 'are'} left out."
        )
    guessed = sum(one.guessed for one in rounds)
    if guessed:
        said.append(
            f"{words.plural(guessed, 'round')} named no day on file and counted as mild and calm; "
            "add `conditions` to it next time."
        )
    if len(rounds) < FEW_ROUNDS:
        said.append(f"Scores scatter by several strokes: {FEW_ROUNDS} rounds or more say more.")
    return tuple(said)
