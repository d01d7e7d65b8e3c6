"""The thrower: hand, styles, the stock throw, and what cold does to the arm."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from rimwise.errors import InputError, check_range

__all__ = ["ColdArm", "Hand", "Level", "Line", "Scatter", "Style", "StyleSkill", "Thrower"]


class Hand(StrEnum):
    """The throwing hand."""

    RIGHT = "right"
    LEFT = "left"


class Style(StrEnum):
    """How the disc leaves the hand."""

    BACKHAND = "backhand"
    FOREHAND = "forehand"


class Level(StrEnum):
    """Words for how repeatable a thrower is; each stands for editable numbers."""

    BEGINNER = "beginner"
    RECREATIONAL = "recreational"
    INTERMEDIATE = "intermediate"
    ADVANCED = "advanced"
    TOP = "top"


@dataclass(frozen=True, slots=True)
class Line:
    """What the thrower intends: style, hyzer, height and effort (the aim comes with the lie).

    Parameters
    ----------
    hyzer_deg
        Positive banks toward the side that the throw fades to.
    launch_deg
        Height of the line, as the launch angle above horizontal.
    effort
        Fraction of full release speed, 0.3 to 1.
    """

    style: Style
    hyzer_deg: float
    launch_deg: float
    effort: float = 1.0

    def __post_init__(self) -> None:
        check_range("hyzer of a line", self.hyzer_deg, -60.0, 80.0, "degrees")
        check_range("launch of a line", self.launch_deg, -20.0, 60.0, "degrees")
        check_range("effort of a line", self.effort, 0.3, 1.0)


@dataclass(frozen=True, slots=True)
class Scatter:
    """Standard deviations of one release at full effort on the stock throw."""

    speed_fraction: float
    launch_deg: float
    hyzer_deg: float
    nose_deg: float
    heading_deg: float

    def __post_init__(self) -> None:
        check_range("speed scatter", self.speed_fraction, 0.0, 0.5)
        for name in ("launch_deg", "hyzer_deg", "nose_deg", "heading_deg"):
            check_range(f"scatter {name}", getattr(self, name), 0.0, 30.0, "degrees")


@dataclass(frozen=True, slots=True)
class StyleSkill:
    """One style of one thrower, known from one number.

    Parameters
    ----------
    fairway_distance_m
        How far a fairway driver goes on a good throw; sets speed and spin by inverting the
        simulation.
    level
        Sets the scatter unless ``scatter`` is given.
    nose_deg
        Mean nose angle at release, positive up.
    heading_bias_deg
        Signed habit: positive misses to the thrower's right (a right-hander's late release).
    """

    style: Style
    fairway_distance_m: float
    level: Level = Level.RECREATIONAL
    nose_deg: float = 0.0
    heading_bias_deg: float = 0.0
    scatter: Scatter | None = None

    def __post_init__(self) -> None:
        check_range(f"{self.style} distance", self.fairway_distance_m, 25.0, 190.0, "m")
        check_range(f"{self.style} nose angle", self.nose_deg, -15.0, 15.0, "degrees")
        check_range(f"{self.style} heading bias", self.heading_bias_deg, -20.0, 20.0, "degrees")


@dataclass(frozen=True, slots=True)
class ColdArm:
    """How much speed the arm loses in the cold (layers, stiff muscles). An assumption.

    Speed is multiplied by ``1 − loss_per_c·(comfortable_c − T)`` below ``comfortable_c``,
    never by less than ``1 − most``.
    """

    comfortable_c: float = 18.0
    loss_per_c: float = 0.004
    most: float = 0.12

    def __post_init__(self) -> None:
        check_range("comfortable temperature", self.comfortable_c, 0.0, 35.0, "°C")
        check_range("cold loss per degree", self.loss_per_c, 0.0, 0.03)
        check_range("largest cold loss", self.most, 0.0, 0.5)

    def speed_factor(self, temperature_c: float) -> float:
        """Return the factor on release speed at ``temperature_c`` (°C)."""
        cold_c = max(0.0, self.comfortable_c - temperature_c)
        return 1.0 - min(self.most, self.loss_per_c * cold_c)


@dataclass(frozen=True, slots=True)
class Thrower:
    """The owner's arm.

    Parameters
    ----------
    stock
        The line practised most; scatter is least there.
    putting_sd_deg
        Angular spread of putts in degrees (Gelman & Nolan 2002 model).
    """

    name: str
    hand: Hand
    styles: tuple[StyleSkill, ...]
    stock: Line = field(default_factory=lambda: Line(Style.BACKHAND, 0.0, 10.0))
    cold_arm: ColdArm = field(default_factory=ColdArm)
    putting_sd_deg: float = 2.2

    def __post_init__(self) -> None:
        if not self.styles:
            raise InputError(f"thrower {self.name} needs at least one style with a distance.")
        names = [skill.style for skill in self.styles]
        if len(set(names)) != len(names):
            raise InputError(f"thrower {self.name} has one style twice; keep one of them.")
        if self.stock.style not in names:
            raise InputError(
                f"the stock throw of {self.name} is a {self.stock.style}, "
                "but no distance is given for that style."
            )
        check_range("putting spread", self.putting_sd_deg, 0.3, 10.0, "degrees")

    def skill(self, style: Style) -> StyleSkill:
        """Return the skill in one style."""
        for skill in self.styles:
            if skill.style is style:
                return skill
        raise InputError(f"{self.name} throws no {style}; give a {style} distance first.")
