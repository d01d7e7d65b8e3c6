"""Which record is kept in which tables."""

from __future__ import annotations

from rimwise.records.carries import Carry
from rimwise.records.carts import Cart, CartItem, Pocket
from rimwise.records.conditions import Conditions, ScenarioDay
from rimwise.records.courses import Area, Course, DropZone, Hole, Mandatory
from rimwise.records.discs import Disc, Mold, Plastic
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    HoleScore,
    Knock,
    Putts,
    Round,
    Throw,
)
from rimwise.records.thrower import StyleSkill, Thrower
from rimwise.store.shelves import Children, Layout, Reference


def _names_disc(*columns: str) -> list[Reference]:
    return [Reference(column, "discs", "id", "disc") for column in columns]


MOLDS = Layout(Mold, "mold", "molds", "name")
PLASTICS = Layout(Plastic, "plastic", "plastics", "name")
DISCS = Layout(
    Disc,
    "disc",
    "discs",
    "id",
    references=[
        Reference("mold", "molds", "name", "mold"),
        Reference("plastic", "plastics", "name", "plastic"),
    ],
)
THROWERS = Layout(
    Thrower,
    "thrower",
    "throwers",
    "name",
    children=[Children.records("styles", "thrower_styles", StyleSkill)],
)
COURSES = Layout(
    Course,
    "course",
    "courses",
    "name",
    children=[
        Children.records("holes", "course_holes", Hole),
        Children.records("areas", "course_areas", Area),
        Children.records("mandatories", "course_mandatories", Mandatory),
        Children.records("drop_zones", "course_drop_zones", DropZone),
    ],
)
CONDITIONS = Layout(
    Conditions,
    "set of conditions",
    "conditions",
    "name",
    children=[Children.records("days", "condition_days", ScenarioDay)],
)
CARTS = Layout(
    Cart,
    "cart",
    "carts",
    "name",
    children=[
        Children.records("pockets", "cart_pockets", Pocket),
        Children.records("items", "cart_items", CartItem),
    ],
)
CARRIES = Layout(
    Carry,
    "carry",
    "carries",
    "id",
    children=[
        Children.texts("disc_ids", "carry_discs", "disc_id"),
        Children.texts("alternates", "carry_alternates", "disc_id"),
        Children.records("items", "carry_items", CartItem),
        Children.texts("take", "carry_take", "thing"),
    ],
    references=_names_disc("disc_ids", "alternates"),
)
THROWS = Layout(Throw, "throw", "throws", "id", references=_names_disc("disc_id"))
COMPARISONS = Layout(
    Comparison, "comparison", "comparisons", "id", references=_names_disc("more", "less")
)
GRIP_GRADES = Layout(
    GripGrade, "grip grade", "grip_grades", "id", references=_names_disc("disc_id")
)
CONDITION_GRADES = Layout(
    ConditionGrade,
    "condition grade",
    "condition_grades",
    "id",
    references=_names_disc("disc_id"),
)
KNOCKS = Layout(Knock, "knock", "knocks", "id", references=_names_disc("disc_id"))
ROUNDS = Layout(
    Round,
    "round",
    "rounds",
    "id",
    children=[Children.records("scores", "round_scores", HoleScore)],
    references=[Reference("course", "courses", "name", "course")],
)
PUTTS = Layout(Putts, "putting record", "putts", "id")
