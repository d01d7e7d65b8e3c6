"""The sheet: whole, alone, small, in order, and in words a player uses."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from reading import parse

import picture_examples as examples
from rimwise.errors import InputError
from rimwise.pictures.sheet import CAUTIONS, sheet_html
from rimwise.pictures.telling import (
    Names,
    carry_changes,
    hole_words,
    purpose_words,
    stand_in_words,
)

PLAN = examples.plan_report()
SHEET = sheet_html(
    PLAN, swaps=examples.swap_report(), cart=examples.cart_scene(), note="Invented data."
)
VOID = {"meta", "br", "link", "img", "input", "hr"}


class Page(HTMLParser):
    """Collects text, ids and elements, and checks that every element is closed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.headings: list[str] = []
        self.text = ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.links += [value or "" for name, value in attrs if name in ("src", "href", "srcset")]
        if tag == "h2":
            self.headings.append("")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "h2":
            self.headings[-1] += data
        if "style" not in self.open and "desc" not in self.open:
            self.text += data


PAGE = Page(SHEET)
SAID = " ".join(PAGE.text.split())


def test_it_is_one_sound_document_that_asks_for_nothing() -> None:
    assert SHEET.startswith("<!DOCTYPE html>")
    assert PAGE.open == []
    assert "script" not in PAGE.tags
    assert PAGE.links == []
    assert len(PAGE.ids) == len(set(PAGE.ids))
    rest = SHEET.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert "http" not in rest
    assert "@import" not in rest
    assert set(re.findall(r"url\(([^)]*)", rest)) <= {f"#{name}" for name in PAGE.ids}


def test_links_stand_at_its_top_where_it_is_served_and_are_not_printed() -> None:
    hostile = "/?plan=a%20b&<c>"
    served = sheet_html(PLAN, links=((hostile, "Carry"), ("/phone", "Save for the phone")))
    page = Page(served)
    assert page.links == [hostile, "/phone"]
    assert page.tags.index("nav") < page.tags.index("main")
    assert "<c>" not in served
    printed = served.split("@media print{\n")[1].split("\n}\n")[0]
    assert "nav{display:none}" in printed.splitlines()
    assert "nav" not in PAGE.tags


def test_it_stays_small_with_eighteen_holes() -> None:
    assert len(PLAN.holes) == 18
    assert len(SHEET.encode()) < 600_000


def test_every_picture_is_described() -> None:
    drawings = re.findall(r"<svg xmlns=.*?</desc>", SHEET, re.S)
    assert len(drawings) == 18 + 1 + 4 + 1  # holes, curve, ladders, cart
    for drawing in drawings:
        assert 'role="img"' in drawing
        assert re.search(r"<title id=\"[\w-]+\">[^<]{10,}</title><desc id=\"[\w-]+\">[^<]{60,}<",
                         drawing)  # fmt: skip


def test_it_tells_things_in_order() -> None:
    assert PAGE.headings == [
        "In short",
        "What goes",
        "What changes",
        "How many",
        "Ladders",
        "Hole by hole",
        "What stays home",
        "How sure is this?",
        "Packing",
        "Take care",
    ]
    assert SAID.index("Invented data.") < SAID.index("In short")
    assert SAID.endswith(PLAN.attribution)


def test_every_disc_is_named_with_its_place() -> None:
    goes, home = SAID.index("What goes"), SAID.index("What stays home")
    for disc in PLAN.discs:
        where = SAID[goes:home] if disc.disc_id in PLAN.chosen else SAID[home:]
        assert disc.label in where
        assert disc.disc_id not in SAID
    assert "“a gift from my sister”" in SAID


@pytest.mark.parametrize("day", ["Saturday", "a day in May", "windy", "3 °C"])
def test_the_weather_of_a_hole_is_told_by_any_name_of_a_day(day: str) -> None:
    told = hole_words(replace(PLAN.holes[0], day=day), str, "m")
    assert told[-1] == f"Weather of “{day}”: fresh breeze 8 m/s from the left."
    assert hole_words(replace(PLAN.holes[0], day=""), str, "m")[-1].startswith("Fresh breeze")


def test_how_often_a_kind_of_day_comes_is_told_where_there_are_several() -> None:
    assert len(PLAN.days) > 1
    assert SAID.count("of 100 rounds: ") == len(PLAN.days)
    harshest = ("strokes on the harshest day (Saturday)", 61.02, 0.0)
    several = replace(PLAN, criteria=(*PLAN.criteria, harshest))
    assert harshest[0] in Page(sheet_html(several)).text
    alone = replace(several, days=(replace(PLAN.days[0], name="Saturday", share=1.0),))
    told = " ".join(Page(sheet_html(alone)).text.split())
    assert f"Saturday: {alone.days[0].words}" in told
    assert "100 rounds" not in told
    assert "harshest" not in told


def test_roles_stand_in_the_order_of_a_bag() -> None:
    roles = re.findall(r"<caption>([a-z- ]+), \d+</caption>", SHEET)
    assert roles == ["putter", "mid-range", "fairway driver", "distance driver"]


def test_a_carry_that_chance_puts_below_nothing_loses_nothing() -> None:
    said = Page(sheet_html(replace(PLAN, lost=-0.01, holes=()))).text
    assert "−0.01" not in said
    assert "0.00 strokes, give or take 0.02" in said


def test_numbers_come_with_their_give_or_take_and_without_jargon() -> None:
    assert "0.31 give or take 0.02" in SAID
    assert "58.24 strokes, give or take 0.20" in SAID
    assert "Expect 3.04 strokes, give or take 0.02" in SAID
    assert not re.search(r"σ|\bSE\b|standard error|\bsigma\b|nan|\binf\b", SAID)


def test_cautions_are_all_there() -> None:
    for caution in CAUTIONS:
        assert caution in SAID
    for word in ("range", "blind", "lightning", "wade", "dive", "ice", "pain", "roll or tip",
                 "rules"):  # fmt: skip
        assert word in SAID[SAID.index("Take care") :]


def test_parts_that_are_not_given_leave_no_trace() -> None:
    bare = Page(sheet_html(PLAN))
    assert "What changes" not in bare.headings
    assert "Packing" not in bare.headings
    compared = Page(sheet_html(PLAN, other=replace(PLAN, conditions="summer")))
    assert "The carry is the same as for summer." in compared.text


def test_feet_reach_every_distance() -> None:
    # What the report says in words has its own units; it is left out here.
    wordless = [replace(h, aim_words="", landing_words="", wind_words="") for h in PLAN.holes[:2]]
    said = Page(
        sheet_html(replace(PLAN, holes=tuple(wordless), days=(), summary=()), units="ft")
    ).text
    assert not re.search(r"\d (m|m/s|°C)\b", said)
    assert "302 ft" in said
    with pytest.raises(InputError, match="'m' or 'ft'"):
        sheet_html(PLAN, units="cubits")


def test_an_only_disc_has_no_stand_in_and_a_spare_no_job() -> None:
    only = replace(PLAN.purposes[0], stand_in_cost=None, stand_ins=())
    names = Names.of(PLAN)
    assert stand_in_words(only, names) == "Nothing else is carried."
    sheet = Page(sheet_html(replace(PLAN, purposes=(only,), chosen=(only.disc_id,), left=())))
    assert "What stays home" not in sheet.headings
    assert "Nothing else is carried." in sheet.text
    spare = replace(PLAN.purposes[0], jobs=(), stand_in_cost=0.01, stand_in_se=0.02)
    assert purpose_words(spare, "m")[0].startswith("A spare")
    assert stand_in_words(spare, names).endswith(
        "as well: no difference that can be told from luck."
    )


def test_what_differs_between_two_carries() -> None:
    chosen = PLAN.chosen
    other = replace(PLAN, conditions="summer", chosen=(*chosen[1:], "ghost"))
    assert carry_changes(PLAN, other, Names.of(PLAN, other)) == (
        f"Against summer (20 discs) in come {PLAN.discs[0].label} and out go ghost."
    )


def test_hostile_words_stay_words() -> None:
    hostile = '<script>alert("x")</script>'
    plan = replace(
        PLAN,
        course=hostile,
        attribution=hostile,
        summary=(hostile,),
        discs=tuple(replace(d, label=hostile, colour=hostile) for d in PLAN.discs),
        holes=(replace(PLAN.holes[0], ref=hostile, disc_label=hostile, landing_words=hostile),),
    )
    page = Page(sheet_html(plan, note=hostile, cart=examples.cart_scene()))
    assert "script" not in page.tags
    assert hostile in page.text


def test_drawings_in_the_sheet_are_sound_xml_too() -> None:
    for svg in re.findall(r"<svg xmlns=.*?</svg>(?=</figure>)", SHEET, re.S):
        parse(svg)
