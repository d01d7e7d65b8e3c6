"""One of each record, with every field away from its default."""

from __future__ import annotations

from datetime import date

from rimwise.flight.printed import Printed
from rimwise.records.carries import Carry
from rimwise.records.carts import Cart, CartItem, Pocket
from rimwise.records.conditions import Conditions, Cover, Ground, ScenarioDay
from rimwise.records.courses import (
    Area,
    AreaKind,
    Course,
    DropZone,
    Hole,
    Mandatory,
    Side,
    Trouble,
)
from rimwise.records.discs import (
    Disc,
    Grip,
    Mold,
    OwnGrip,
    Plastic,
    Status,
    Weight,
    WeightRelativeTo,
)
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    HoleScore,
    Knock,
    Putts,
    Quality,
    Round,
    Throw,
    Weather,
)
from rimwise.records.thrower import (
    ColdArm,
    Hand,
    Level,
    Line,
    Scatter,
    Style,
    StyleSkill,
    Thrower,
)
from rimwise.store.store import Store

MOLD = Mold("NH 27", Printed(7.0, 5.0, -2.0, 1.0), "NH", 0.211, 0.017)
PLASTIC = Plastic("soft base", Grip(4.0, 3.5, 4.0, 3.0), 0.3, True, -0.2, 0.25)
RED = Disc(
    "nh27-red",
    "NH 27",
    "soft base",
    Weight(172.5, 0.5),
    run="second",
    colour="red",
    mark="two dots",
    wear=0.4,
    condition="nicks on the rim",
    status=Status.CAR,
    cost=14.5,
    meaning="first ace",
    own_grip=OwnGrip(4.5, None, 3.0, None),
    note="rolls",
)
BLUE = Disc("nh27-blue", "NH 27", "soft base", WeightRelativeTo("nh27-red", -5.0, 2.5))
THROWER = Thrower(
    "owner",
    Hand.LEFT,
    (
        StyleSkill(Style.BACKHAND, 90.0, Level.INTERMEDIATE, 1.5, -0.5),
        StyleSkill(Style.FOREHAND, 70.0, scatter=Scatter(0.04, 1.5, 4.0, 2.0, 3.0)),
    ),
    Line(Style.BACKHAND, 8.0, 11.0, 0.9),
    ColdArm(17.0, 0.005, 0.1),
    2.5,
)
COURSE = Course(
    "heath",
    (
        Hole("1", (0.0, 0.0), (30.5, 80.25), 3, -2.0, 88.0, "gorse", 0.6),
        Hole("2A", (5.0, 5.0), (90, 7)),
    ),
    (
        Area(
            AreaKind.WATER,
            ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)),
            (((5.0, 1.0), (6.0, 1.0), (6.0, 2.0)),),
            "pond",
            250.0,
            9.5,
            True,
        ),
    ),
    54.25,
    8.5,
    False,
    "drawn by the owner",
    (Mandatory("1", (10.0, 20.5), Side.LEFT, "the oak", True),),
    (DropZone("2A", (30.0, 40.0), Trouble.WATER, "bank", True),),
)
CONDITIONS = Conditions(
    "winter",
    (
        ScenarioDay(
            *("gale", 3.0, 3.0, 1001.5, 0.9, 9.0, 240.0, 14.0, True, Ground.WET, 0.1, "log"),
            *(Cover.LEAVES, True),
        ),
        ScenarioDay("frost", 1.0, -2.0, 1030.0, 0.6, 1.0, 90.0),
    ),
)
CART = Cart(
    "two wheels",
    6.5,
    -0.05,
    0.4,
    0.55,
    0.3,
    0.1,
    (Pocket("main", 16, 0.0, 0.0, 0.45, 0.5, 2), Pocket("upper", 6, -0.1, 0.02, 0.9)),
    (CartItem("bottle", 1.0, 0.1, 0.15, 0.5),),
)
DAY = date(2026, 3, 14)
CARRY = Carry(
    "winter league",
    DAY,
    "winter",
    "heath",
    ("nh27-red",),
    ("nh27-blue",),
    (("nh27-red", "holds in wind"),),
    57.25,
    0.4,
    7,
    "first",
)
THROW = Throw(
    DAY,
    "nh27-red",
    Line(Style.FOREHAND, -5.0, 9.0, 0.8),
    81.5,
    -4.0,
    "gale",
    75.0,
    20.5,
    90.0,
    "late",
    Weather(3.5, 4.0, 270.0, True, Ground.FROZEN),
)
COMPARISON = Comparison(DAY, "nh27-red", "nh27-blue", Quality.REACH, True, "by a rung")
ALIKE = Comparison(DAY, "nh27-red", "nh27-blue", Quality.GRIP, alike=True)
GRIP_GRADE = GripGrade(DAY, "nh27-red", "cold-wet", 2.0)
CONDITION_GRADE = ConditionGrade(DAY, "nh27-red", 0.6, "after the rocks")
KNOCK = Knock(DAY, "nh27-red", "the iron gate", False, "by the pond")
ROUND = Round(
    DAY,
    "heath",
    (HoleScore("1", 3), HoleScore("2A", 4)),
    "gale",
    "winter league",
    "fun",
    Weather(3.0, 9.0, None, False, Ground.WET),
)
PUTTS = Putts(DAY, 7.5, 20, 13, "gale", Weather(wind_m_s=3.0, wind_from_deg=90.0))

LOGGED = {
    "carries": CARRY,
    "throws": THROW,
    "comparisons": COMPARISON,
    "grip_grades": GRIP_GRADE,
    "condition_grades": CONDITION_GRADE,
    "knocks": KNOCK,
    "rounds": ROUND,
    "putts": PUTTS,
}
SHELVED = {
    "throwers": THROWER,
    "courses": COURSE,
    "conditions": CONDITIONS,
    "carts": CART,
}


def fill(store: Store) -> None:
    """Put one of each record into an empty store."""
    with store.atomic():
        store.molds.put(MOLD)
        store.plastics.put(PLASTIC)
        store.discs.put_all([BLUE, RED])
        for name, record in SHELVED.items():
            getattr(store, name).put(record)
        for name, record in LOGGED.items():
            getattr(store, name).add(record)
        store.settings.put("demo", True)
