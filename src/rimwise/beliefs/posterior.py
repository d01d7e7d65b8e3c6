"""What is believed after evidence: a normal distribution over everything unknown.

A posterior is computed by :func:`rimwise.beliefs.learn.learn`, never edited: it carries the
fingerprint of what it was computed from. Intervals come from pushing draws through the
simulation, as the flight is far from linear over what is not known.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.arm import ArmStyle
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.unknowns import Unknowns
from rimwise.errors import NotFoundError
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Scatter, Style, Thrower

__all__ = ["BeliefDraws", "Grips", "LearntFleet", "Posterior", "StyleDraws", "prior_posterior"]

Floats = NDArray[np.float64]

#: The parts of a :class:`Scatter`, in order.
SCATTER_PARTS = tuple(item.name for item in fields(Scatter))


@dataclass(frozen=True, eq=False)
class StyleDraws:
    """One style of the arm, drawn; (samples,) each, named as in :class:`ArmStyle`."""

    style: Style
    speed_m_s: Floats
    spin_rad_s: Floats
    nose_rad: Floats
    heading_bias_rad: Floats
    hyzer_bias_rad: Floats
    launch_bias_rad: Floats
    scatter: Scatter

    def one(self, sample: int) -> ArmStyle:
        """Return one sample as an arm."""
        return ArmStyle(
            style=self.style,
            speed_m_s=float(self.speed_m_s[sample]),
            spin_rad_s=float(self.spin_rad_s[sample]),
            nose_rad=float(self.nose_rad[sample]),
            heading_bias_rad=float(self.heading_bias_rad[sample]),
            scatter=self.scatter,
            hyzer_bias_rad=float(self.hyzer_bias_rad[sample]),
            launch_bias_rad=float(self.launch_bias_rad[sample]),
        )


@dataclass(frozen=True, eq=False)
class BeliefDraws:
    """Joint draws of discs and arm: sample *k* of one goes with sample *k* of the other.

    ``printed`` (n, samples, 4) as worn today; ``mass_kg`` (n, samples); ``arms`` one per style;
    ``cold_loss_per_c`` (samples,).
    """

    printed: Floats
    mass_kg: Floats
    arms: tuple[StyleDraws, ...]
    cold_loss_per_c: Floats

    def arm(self, style: Style) -> StyleDraws:
        """Return the draws of one style."""
        return next(arm for arm in self.arms if arm.style is style)


@dataclass(frozen=True, eq=False)
class Grips:
    """Believed grip grades (n, 4), 1 to 5 in the order of ``AIR_KINDS``, and their sd."""

    mean: Floats
    sd: Floats


@dataclass(frozen=True, eq=False)
class Posterior:
    """Beliefs about every disc and the arm.

    Attributes
    ----------
    unknowns
        What the components of ``u`` stand for.
    mean, covariance : (D,), (D, D) float64
        Of ``u``, which is N(0, I) before any evidence.
    mode : (D,) float64
        Where ``u`` is most likely, a little off its mean; a later search starts here.
    scatter : tuple of Scatter
        Learnt release scatter of each style, in the order of ``unknowns.arms``.
    scatter_weight : tuple of float
        What that scatter rests on, in throws: the prior's weight and the throws seen.
    grips
        Believed grip.
    fingerprint
        Digest of the discs, thrower, assumptions and evidence that this was computed from.
    throws, comparisons : int
        How many of each it rests on.
    rounds : int
        How often all throws were flown to find the mode.
    settled : bool
        Whether the search ended because steps had become small.
    left_sd : float
        At the mode, the largest step that Newton's method would still take, in posterior sd.
    """

    unknowns: Unknowns
    mean: Floats
    covariance: Floats
    mode: Floats
    scatter: tuple[Scatter, ...]
    scatter_weight: tuple[float, ...]
    grips: Grips
    fingerprint: str
    throws: int = 0
    comparisons: int = 0
    rounds: int = 0
    settled: bool = True
    left_sd: float = 0.0
    _root: Floats | None = field(default=None, repr=False)

    def draw_unknowns(self, samples: int, seed: int, draw_set: int = 0) -> Floats:
        """Draw ``u``, (samples, D); without evidence these are the fleet's own prior draws."""
        z = self.unknowns.standard_draws(samples, seed, draw_set)
        root = self._root if self._root is not None else np.linalg.cholesky(self.covariance)
        return np.asarray(self.mean + z @ root.T)

    def draw(self, samples: int, seed: int, draw_set: int = 0) -> BeliefDraws:
        """Draw discs and arm together.

        Parameters
        ----------
        samples, seed, draw_set
            As in :meth:`rimwise.beliefs.fleet.Fleet.sample_printed`.
        """
        return self.drawn(self.draw_unknowns(samples, seed, draw_set))

    def drawn(self, u: Floats) -> BeliefDraws:
        """Return what draws (samples, D) of ``u`` mean."""
        unknowns = self.unknowns
        return BeliefDraws(
            printed=np.ascontiguousarray(np.swapaxes(unknowns.printed(u), 0, 1)),
            mass_kg=np.ascontiguousarray(unknowns.mass_kg(u).T),
            arms=tuple(
                _style_draws(arm, unknowns.habits(u, k), self.scatter[k])
                for k, arm in enumerate(unknowns.arms)
            ),
            cold_loss_per_c=unknowns.cold_loss_per_c(u),
        )

    def arm(self, style: Style) -> ArmStyle:
        """Return the most likely arm of one style, with its learnt scatter and habits."""
        place = self.unknowns.styles.index(style)
        habits = self.unknowns.habits(self.mean[None], place)
        return _style_draws(self.unknowns.arms[place], habits, self.scatter[place]).one(0)

    def thrower(self) -> Thrower:
        """Return the thrower with the cold's cost as believed now."""
        thrower = self.unknowns.thrower
        loss = float(np.clip(self.unknowns.cold_loss_per_c(self.mean), 0.0, 0.03))
        return replace(thrower, cold_arm=replace(thrower.cold_arm, loss_per_c=loss))

    def learnt_fleet(self, fleet: Fleet) -> LearntFleet:
        """Return a fleet whose samples follow these beliefs.

        ``fleet`` may hold some of the discs that were learnt about, in any order; what is not
        learnt (cost, floating) stays its own.

        Raises
        ------
        NotFoundError
            When a disc was not there when these beliefs were computed.
        """
        known = {disc: i for i, disc in enumerate(self.unknowns.fleet.ids)}
        for disc in fleet.ids:
            if disc not in known:
                raise NotFoundError(f"nothing was learnt about {disc!r} yet; compute beliefs anew.")
        rows = np.array([known[disc] for disc in fleet.ids])
        own = {item.name: getattr(fleet, item.name) for item in fields(Fleet)}
        own["printed"] = self.unknowns.printed(self.mean)[rows]
        own["mass_kg"] = self.unknowns.mass_kg(self.mean)[rows]
        own["grip"] = self.grips.mean[rows]
        return LearntFleet(**own, beliefs=self)

    def as_worn(self, wear: Mapping[str, float]) -> Posterior:
        """Return the same beliefs of discs worn otherwise, from 0 (new) to 1, by their names."""
        unknowns = self.unknowns
        fleet = unknowns.fleet.as_worn(wear, unknowns.assume)
        return replace(self, unknowns=replace(unknowns, fleet=fleet))

    def sd(self, kind: str, name: str) -> Floats:
        """Return the posterior sd over the prior sd of one named thing's parts."""
        rows = [i for i, entry in enumerate(self.unknowns.names) if entry[:2] == (kind, name)]
        return np.asarray(np.sqrt(np.diag(self.covariance)[rows]))


@dataclass(frozen=True)
class LearntFleet(Fleet):
    """A fleet that draws its samples from a posterior instead of the prior."""

    beliefs: Posterior

    def sample_printed(self, samples: int, seed: int, draw_set: int = 0) -> Floats:
        """Draw printed numbers as worn today, shape (n, samples, 4), from the posterior."""
        u = self.beliefs.draw_unknowns(samples, seed, draw_set)
        return np.ascontiguousarray(np.swapaxes(self.beliefs.unknowns.printed(u), 0, 1)[self._rows])

    def sample_mass_kg(self, samples: int, seed: int, draw_set: int = 0) -> Floats:
        """Draw masses, shape (n, samples), kg, from the posterior; goes with the numbers."""
        u = self.beliefs.draw_unknowns(samples, seed, draw_set)
        return np.ascontiguousarray(self.beliefs.unknowns.mass_kg(u).T[self._rows])

    def subset(self, keep: Sequence[int]) -> LearntFleet:
        """Return the fleet with only the discs at these positions, in this order."""
        base = Fleet.subset(self, keep)
        own = {item.name: getattr(base, item.name) for item in fields(Fleet)}
        return LearntFleet(**own, beliefs=self.beliefs)

    def as_worn(self, wear: Mapping[str, float], assume: Assumptions) -> LearntFleet:
        """Return the fleet with some discs worn otherwise, and the same beliefs of the rest."""
        base = Fleet.as_worn(self, wear, assume)
        return self.beliefs.as_worn(wear).learnt_fleet(base)

    @property
    def _rows(self) -> NDArray[np.int64]:
        known = {disc: i for i, disc in enumerate(self.beliefs.unknowns.fleet.ids)}
        return np.array([known[disc] for disc in self.ids], dtype=np.int64)


def prior_posterior(unknowns: Unknowns) -> Posterior:
    """Return the beliefs that rest on no evidence at all."""
    fleet = unknowns.fleet
    spread = np.full(fleet.grip.shape, unknowns.assume.own_grip_sd)
    return Posterior(
        unknowns=unknowns,
        mean=np.zeros(len(unknowns)),
        covariance=np.eye(len(unknowns)),
        mode=np.zeros(len(unknowns)),
        scatter=tuple(arm.scatter for arm in unknowns.arms),
        scatter_weight=tuple(unknowns.assume.scatter_weight for _ in unknowns.arms),
        grips=Grips(fleet.grip, spread),
        fingerprint=fingerprint_of(unknowns, ""),
    )


def fingerprint_of(unknowns: Unknowns, evidence: str) -> str:
    """Return a digest of discs, thrower, assumptions and the evidence's own digest."""
    digest = hashlib.sha256(evidence.encode())
    fleet = unknowns.fleet
    for item in fields(Fleet):
        value = getattr(fleet, item.name)
        digest.update(value.tobytes() if isinstance(value, np.ndarray) else repr(value).encode())
    digest.update(repr((unknowns.thrower, unknowns.assume)).encode())
    return digest.hexdigest()


def _style_draws(arm: ArmStyle, habits: Floats, scatter: Scatter) -> StyleDraws:
    log_speed, log_ratio, launch, hyzer, nose, heading = habits.T
    speed = arm.speed_m_s * np.exp(log_speed)
    return StyleDraws(
        style=arm.style,
        speed_m_s=speed,
        spin_rad_s=arm.spin_rad_s / arm.speed_m_s * speed * np.exp(log_ratio),
        nose_rad=np.clip(arm.nose_rad + nose, -math.pi / 4, math.pi / 4),
        heading_bias_rad=arm.heading_bias_rad + heading,
        hyzer_bias_rad=arm.hyzer_bias_rad + hyzer,
        launch_bias_rad=arm.launch_bias_rad + launch,
        scatter=scatter,
    )
