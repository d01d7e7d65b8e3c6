"""Discs as individuals, the molds they come from and the plastics they are made of."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from rimwise.errors import InputError, check_range
from rimwise.flight.printed import Printed

__all__ = [
    "GRIP_WORDS",
    "ROLES",
    "Disc",
    "Grip",
    "Mold",
    "OwnGrip",
    "Plastic",
    "Status",
    "Weight",
    "WeightRelativeTo",
    "role_of",
]

#: Words for the five grip grades (our own scale; common practice has none).
GRIP_WORDS = {1: "slips", 2: "poor", 3: "fair", 4: "good", 5: "sure"}

#: Roles by the highest printed speed of each (common practice, no source).
ROLES = (("putter", 3.5), ("mid-range", 6.0), ("fairway driver", 9.5), ("distance driver", 15.0))

#: Weights outside these are no disc of this game (the governing body allows 200 g at most;
#: the lower end is common practice, no source).
WEIGHT_LOW_G, WEIGHT_HIGH_G = 60.0, 200.0


class Status(StrEnum):
    """Where a disc is in its life."""

    CARRIED = "carried"
    HOME = "at home"
    CAR = "in the car"
    LENT = "lent"
    LOST = "lost"
    FOUND = "found"
    RETIRED = "retired"
    PRACTICE = "practice stack"

    @property
    def available(self) -> bool:
        """Whether a disc in this state can be chosen for a carry."""
        return self not in (Status.LENT, Status.LOST, Status.RETIRED, Status.PRACTICE)


@dataclass(frozen=True, slots=True)
class Grip:
    """How surely the hand holds something, from 1 (slips) to 5 (sure), in four kinds of air."""

    cold_dry: float
    cold_wet: float
    warm_dry: float
    hot_sweaty: float

    def __post_init__(self) -> None:
        for name in ("cold_dry", "cold_wet", "warm_dry", "hot_sweaty"):
            check_range(f"grip {name.replace('_', '-')}", getattr(self, name), 1.0, 5.0)


@dataclass(frozen=True, slots=True)
class OwnGrip:
    """Grades that the owner gave one disc by hand; ``None`` leaves the plastic's grade."""

    cold_dry: float | None = None
    cold_wet: float | None = None
    warm_dry: float | None = None
    hot_sweaty: float | None = None

    def __post_init__(self) -> None:
        for name in ("cold_dry", "cold_wet", "warm_dry", "hot_sweaty"):
            value = getattr(self, name)
            if value is not None:
                check_range(f"own grip {name.replace('_', '-')}", value, 1.0, 5.0)

    def over(self, plastic: Grip) -> Grip:
        """Return the plastic's grades with the owner's own in their place where given."""

        def pick(own: float | None, other: float) -> float:
            return other if own is None else own

        return Grip(
            pick(self.cold_dry, plastic.cold_dry),
            pick(self.cold_wet, plastic.cold_wet),
            pick(self.warm_dry, plastic.warm_dry),
            pick(self.hot_sweaty, plastic.hot_sweaty),
        )


@dataclass(frozen=True, slots=True)
class Mold:
    """A mold: a maker's shape with its printed numbers and, where known, its dimensions.

    A dimension that is ``None`` is filled by the class median for its printed speed when a
    flight needs it.
    """

    name: str
    printed: Printed
    maker: str = ""
    diameter_m: float | None = None
    rim_width_m: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise InputError("a mold needs a name.")
        if self.diameter_m is not None:
            check_range("diameter of mold " + self.name, self.diameter_m, 0.20, 0.30, "m")
        if self.rim_width_m is not None:
            check_range("rim width of mold " + self.name, self.rim_width_m, 0.004, 0.026, "m")


@dataclass(frozen=True, slots=True)
class Plastic:
    """A plastic by its plain description, as a prior for every disc made of it.

    Parameters
    ----------
    name
        Plain description, for example ``"soft base"``.
    grip
        Grades from 1 to 5.
    durability
        From 0 (scuffs in a month) to 1 (hardly wears).
    floats
        Whether a disc of it floats.
    stability_shift
        Shift of turn and fade together that this plastic gives a mold, in printed-number
        units; positive is more stable. Its standard deviation is ``stability_shift_sd``.
    """

    name: str
    grip: Grip
    durability: float = 0.5
    floats: bool = False
    stability_shift: float = 0.0
    stability_shift_sd: float = 0.3

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise InputError("a plastic needs a name.")
        check_range(f"durability of plastic {self.name}", self.durability, 0.0, 1.0)
        check_range(f"stability shift of plastic {self.name}", self.stability_shift, -2.0, 2.0)
        check_range(f"stability shift sd of {self.name}", self.stability_shift_sd, 0.0, 2.0)


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight from a scale (small ``sd_g``) or from memory (large ``sd_g``)."""

    grams: float
    sd_g: float = 1.0

    def __post_init__(self) -> None:
        check_range("weight", self.grams, WEIGHT_LOW_G, WEIGHT_HIGH_G, "g")
        check_range("weight uncertainty", self.sd_g, 0.0, 20.0, "g")


@dataclass(frozen=True, slots=True)
class WeightRelativeTo:
    """A weight known only against another disc: "about 5 g lighter than the blue one"."""

    disc_id: str
    offset_g: float
    sd_g: float = 2.0

    def __post_init__(self) -> None:
        check_range("weight offset", self.offset_g, -100.0, 100.0, "g")
        check_range("weight uncertainty", self.sd_g, 0.0, 20.0, "g")


@dataclass(frozen=True, slots=True)
class Disc:
    """One actual disc.

    Parameters
    ----------
    id
        Short name that the owner uses, unique in the data file ("nh27-red").
    mold, plastic
        Names of a :class:`Mold` and a :class:`Plastic`.
    weight
        :class:`Weight` or :class:`WeightRelativeTo`.
    wear
        From 0 (new) to 1 (beaten in). Wear drifts a disc toward understable.
    own_grip
        The owner's grades over the plastic's.
    meaning
        What it means to its owner, in their words; shown, never weighed.
    """

    id: str
    mold: str
    plastic: str
    weight: Weight | WeightRelativeTo
    run: str = ""
    colour: str = ""
    mark: str = ""
    wear: float = 0.0
    condition: str = ""
    status: Status = Status.HOME
    cost: float | None = None
    meaning: str = ""
    own_grip: OwnGrip = field(default_factory=OwnGrip)
    note: str = ""

    def __post_init__(self) -> None:
        if not self.id.strip():
            raise InputError("a disc needs a name of its own.")
        check_range(f"wear of {self.id}", self.wear, 0.0, 1.0)
        if self.cost is not None:
            check_range(f"cost of {self.id}", self.cost, 0.0, 100_000.0)

    @property
    def label(self) -> str:
        """Name for a sentence: mold, plastic, colour and mark, as in "NH 27 soft base, red".

        A disc without a colour goes by its own name as well.
        """
        text = f"{self.mold} {self.plastic}".strip()
        text = f"{text}, {self.colour}" if self.colour else f"{text} ({self.id})"
        return f"{text}, marked {self.mark}" if self.mark else text


def role_of(printed: Printed) -> str:
    """Return the role that a printed speed stands for: putter, mid-range and so on."""
    return next(role for role, most in ROLES if printed.speed <= most)
