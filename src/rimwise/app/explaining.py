"""Why: what one disc is for, or who does its work."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rimwise.app.box import disc_named, units_of
from rimwise.app.reports import load_plan
from rimwise.decide.reasons import Purpose
from rimwise.decide.report import PlanReport
from rimwise.errors import InputError
from rimwise.pictures.telling import home_words, job_words, purpose_words, stand_in_words
from rimwise.records.discs import Status
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["Reason", "explain"]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one disc goes or stays.

    Parameters
    ----------
    away
        Where the disc is instead, such as "lost" or "lent", when it cannot go now; else empty.
    """

    disc_id: str
    label: str
    goes: bool
    words: str
    jobs: tuple[str, ...]
    meaning: str
    away: str = ""

    @property
    def stands(self) -> str:
        """Say "goes" or "stays", or what was chosen of a disc that is away by now."""
        if not self.away:
            return "goes" if self.goes else "stays"
        return f"was chosen{'' if self.goes else ' to stay'}, and is {self.away} now"


def explain(store: Store, disc: str | None, conditions: str | None = None) -> tuple[Reason, ...]:
    """Return the reasons for one disc, or for all of them, carried ones first.

    Raises
    ------
    RimwiseError
        When nothing is planned, or the disc took no part in the plan.
    """
    plan = load_plan(store, conditions)
    where = {one.id: one.status for one in store.discs.all()}
    reasons = tuple(
        replace(reason, away=_away(where.get(reason.disc_id)))
        for reason in reasons_of(plan, units_of(store))
    )
    if disc is None:
        return reasons
    wanted = disc_named(store, disc)
    found = tuple(reason for reason in reasons if reason.disc_id == wanted.id)
    if not found:
        raise InputError(
            f"{wanted.id} took no part in the plan for {plan.conditions} (it is "
            f"{wanted.status}); run `rimwise plan` again."
        )
    return found


def _away(status: Status | None) -> str:
    """Say where a disc is that cannot go; nothing of one that can."""
    if status is None:
        return "no longer on file"
    if status is Status.PRACTICE:
        return "in the practice stack"
    return "" if status.available else str(status)


def reasons_of(plan: PlanReport, units: Units) -> tuple[Reason, ...]:
    """Return the reasons of a plan in words."""
    goes = tuple(
        Reason(
            disc_id=purpose.disc_id,
            label=plan.disc(purpose.disc_id).label,
            goes=True,
            words=_why(plan, purpose, units),
            jobs=tuple(job_words(job, units) for job in purpose.jobs),
            meaning=plan.disc(purpose.disc_id).meaning,
        )
        for purpose in plan.purposes
    )
    stays = tuple(
        Reason(
            disc_id=left.disc_id,
            label=plan.disc(left.disc_id).label,
            goes=False,
            words=home_words(left, str, units),
            jobs=(),
            meaning=plan.disc(left.disc_id).meaning,
        )
        for left in plan.left
    )
    return goes + stays


def _why(plan: PlanReport, purpose: Purpose, units: Units) -> str:
    told = purpose_words(purpose, units, putting=plan.putting)
    return " ".join((*told, stand_in_words(purpose, str))).strip()
