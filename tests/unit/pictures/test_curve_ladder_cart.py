"""Curve, ladders and cart say and show the numbers they were given."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from reading import parse, points, texts, windows

import picture_examples as examples
from rimwise.decide.report import WideStep
from rimwise.packing.placement import PackingDisc, steadiest
from rimwise.pictures.cart import CartScene, Look, cart_svg
from rimwise.pictures.curve import curve_svg
from rimwise.pictures.ladder import fade_is_left, ladder_svg, rung_notes
from rimwise.pictures.palette import disc_colour
from rimwise.records.carts import Cart, CartItem, Pocket

PLAN = examples.plan_report(1)


# -- curve --------------------------------------------------------------------------------


def test_the_curve_falls_as_its_points_do_and_the_band_holds_it() -> None:
    (window,) = windows(parse(curve_svg(PLAN)))
    (curve,) = [points(p) for p in window.own("polyline") if p.attrib["stroke-width"] == "2.2"]
    band = points(next(iter(window.own("polygon"))))
    lost = np.array([p.lost for p in PLAN.curve])
    heights = np.array([y for _, y in curve])
    scale = np.polyfit(lost, heights, 1)
    assert heights == pytest.approx(np.polyval(scale, lost), abs=0.02)
    half = scale[0] * PLAN.curve[0].lost_se
    count = len(lost)
    assert [y for _, y in band[:count]] == pytest.approx(list(heights + half), abs=0.03)
    assert [y for _, y in band[count:]] == pytest.approx(list(heights[::-1] - half), abs=0.03)


def test_the_flat_part_and_the_carry_are_named() -> None:
    at = texts(windows(parse(curve_svg(PLAN)))[0])
    assert "flat from 9 discs on" in at
    assert "your 20" in at
    everything = replace(PLAN, flat_from=29)
    assert not any("flat" in text for text in texts(windows(parse(curve_svg(everything)))[0]))


# -- ladder -------------------------------------------------------------------------------


def test_rungs_lie_where_they_finish_with_the_throwers_left_on_the_left() -> None:
    discs = [disc for disc in PLAN.discs if disc.role == "fairway driver"]
    (window,) = windows(parse(ladder_svg(discs, PLAN.chosen, fade_left=False)))
    dots = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in window.own("circle")]
    order = sorted(discs, key=lambda disc: -disc.finish_left_m)
    assert [x for x, _ in dots] == sorted(x for x, _ in dots)  # left to right, top to bottom
    assert [y for _, y in dots] == sorted(y for _, y in dots)
    scale, zero = np.polyfit([d.finish_left_m for d in order], [x for x, _ in dots], 1)
    assert scale < 0
    for disc, (x, _) in zip(order, dots, strict=True):
        assert x == pytest.approx(zero + scale * disc.finish_left_m, abs=0.02)
    filled = [c.attrib["class"] for c in window.own("circle")]
    assert filled == [
        "s-ink f-ink" if disc.disc_id in PLAN.chosen else "s-ink f-paper" for disc in order
    ]


def test_the_turn_side_comes_first_for_either_hand() -> None:
    discs = [disc for disc in PLAN.discs if disc.role == "fairway driver"]
    assert fade_is_left(PLAN.discs) is False  # the invented player is left-handed
    mirrored = [
        replace(
            disc,
            finish_left_m=-disc.finish_left_m,
            finish_low_m=-disc.finish_high_m,
            finish_high_m=-disc.finish_low_m,
        )
        for disc in discs
    ]
    assert fade_is_left(mirrored) is True
    names = [
        [t.split(" · ")[0] for t in texts(windows(parse(svg))[0]) if " · " in t]
        for svg in (
            ladder_svg(discs, PLAN.chosen, fade_left=False),
            ladder_svg(mirrored, PLAN.chosen, fade_left=True),
        )
    ]
    assert names[0] == names[1]
    assert names[0][0].startswith("KV 26")  # the most understable
    assert fade_is_left(discs[:1]) is True


def test_doubled_rungs_are_said_in_words_and_only_where_length_agrees_too() -> None:
    one, two = (replace(PLAN.discs[n], mold=f"NH {n}", colour="red") for n in (14, 15))
    one, two = replace(one, finish_left_m=1.0), replace(two, finish_left_m=2.5)
    both = {one.disc_id, two.disc_id}
    assert rung_notes([one, two], both) == ("doubled: NH 15 red", "doubled: NH 14 red")
    assert rung_notes([one, two], {one.disc_id}) == ("", "same rung as NH 14 red")
    assert rung_notes([one, two], set()) == ("", "")
    assert rung_notes([one, replace(two, finish_left_m=3.5)], both) == ("", "")
    assert rung_notes([one, replace(two, reach_m=one.reach_m + 7)], both) == ("", "")


def test_a_missing_rung_is_drawn_between_its_neighbours_and_told() -> None:
    discs = [disc for disc in PLAN.discs if disc.role == "fairway driver"]
    order = sorted(discs, key=lambda disc: -disc.finish_left_m)  # a left-hander's turn side
    below, above = order[1], order[2]
    step = WideStep(below.disc_id, above.disc_id, 14.2, 5.0)
    elsewhere = WideStep("a putter", "another", 9.0, 3.0)
    plain = parse(ladder_svg(discs, PLAN.chosen, fade_left=False))
    drawn = parse(ladder_svg(discs, PLAN.chosen, fade_left=False, wide=(step, elsewhere)))
    (before,), (window,) = windows(plain), windows(drawn)
    assert set(texts(window)) - set(texts(before)) == {"no rung for 14 m"}
    dashed = [points(p) for p in window.own("polyline") if "stroke-dasharray" in p.attrib]
    (gap,) = dashed
    centres = {disc.disc_id: c for disc, c in zip(order, window.own("circle"), strict=True)}
    (x0, y), (x1, _) = gap
    assert x0 == pytest.approx(float(centres[below.disc_id].attrib["cx"]), abs=0.02)
    assert x1 == pytest.approx(float(centres[above.disc_id].attrib["cx"]), abs=0.02)
    heights = [-float(centres[disc.disc_id].attrib["cy"]) for disc in (below, above)]
    assert heights[0] > y > heights[1]
    said = drawn.find("{*}desc").text
    assert f"From {below.label} to {above.label} a rung is missing" in said
    assert "14 m apart, others 5 m" in said


# -- cart ---------------------------------------------------------------------------------


def test_every_disc_is_drawn_twice_in_its_owners_colour() -> None:
    looks = {disc.disc_id: Look(disc.label, disc.colour) for disc in PLAN.discs}
    (window,) = windows(parse(cart_svg(examples.cart_scene(), looks)))
    fills = [r.attrib["fill"] for r in window.own("rect") if r.attrib.get("stroke-width") == "0.7"]
    wanted = [disc_colour(PLAN.disc(d).colour) for d in PLAN.chosen]
    assert sorted(fills) == sorted(wanted * 2)


def test_angles_are_promised_rounded_down() -> None:
    scene = examples.cart_scene()
    at = texts(windows(parse(cart_svg(scene, {})))[0])
    angles = scene.packing.angles_deg
    assert f"Falls over backward on a {int(angles.backward)}° slope," in at
    assert f"forward on a {int(angles.forward)}° slope." in at
    assert f"to the left on {int(angles.left)}°" in at
    assert f"to the right on {int(angles.right)}°" in at
    assert "main well: 14" in at


def test_the_mark_of_the_mass_stands_over_its_place_between_the_tipping_lines() -> None:
    scene = examples.cart_scene()
    (window,) = windows(parse(cart_svg(scene, {})))
    x, _, z = (100 * part for part in scene.packing.load.centre_of_mass_m)
    plumb = [points(p) for p in window.own("polyline") if p.attrib.get("stroke-dasharray") == "2 4"]
    assert plumb == [[(pytest.approx(x, abs=0.01), pytest.approx(z, abs=0.01)),
                      (pytest.approx(x, abs=0.01), 0.0)]]  # fmt: skip


def test_left_of_the_cart_is_up_when_its_front_is_to_the_right() -> None:
    pocket = Pocket("well", 3, 0.1, 0.05, 0.5, 1.0)
    bottle = CartItem("bottle", 2.0, 0.05, 0.15, 0.6)
    cart = Cart("Cart", 1.0, 0.1, 0.4, 0.4, 0.3, 0.1, (pocket,), (bottle,))
    packing = steadiest(cart, [PackingDisc("a", 0.17, 1.0)])
    (window,) = windows(parse(cart_svg(CartScene(cart, packing), {})))
    support = [points(p) for p in window.own("polygon")][-1]
    middle = (support[0][1] + support[-1][1]) / 2
    assert [(x, y - middle) for x, y in support] == [
        (0.0, pytest.approx(20.0)), (30.0, pytest.approx(10.0)),
        (30.0, pytest.approx(-10.0)), (0.0, pytest.approx(-20.0)),
    ]  # fmt: skip
    above = [r for r in window.own("rect") if r.attrib["class"] == "s-ink f-shade"][-1]
    bottle_y = -float(above.attrib["y"]) - float(above.attrib["height"]) / 2
    assert bottle_y - middle == pytest.approx(15.0, abs=0.02)
    mass_y = -float(list(window.own("circle"))[-1].attrib["cy"])
    assert mass_y - middle == pytest.approx(100 * packing.load.centre_of_mass_m[1], abs=0.02)
    assert mass_y > middle + 5
    disc = [r for r in window.own("rect") if r.attrib.get("stroke-width") == "0.7"][-1]
    disc_y = -float(disc.attrib["y"]) - float(disc.attrib["height"]) / 2
    assert disc_y - middle == pytest.approx(5.0, abs=0.02)


def test_a_cart_that_falls_by_itself_is_said_to() -> None:
    high = Pocket("high pouch", 3, -0.3, 0.0, 0.9, 3.0)
    cart = Cart("Cart", 1.0, 0.01, 0.4, 0.4, 0.3, 0.1, (high,))
    packing = steadiest(cart, [PackingDisc("a", 0.17, 1.0)])
    at = texts(windows(parse(cart_svg(CartScene(cart, packing), {})))[0])
    assert "Does not stand:" in at
    assert "falls over on level ground." in at


@pytest.mark.parametrize(
    ("words", "same_as"),
    [("Moss Green", "moss"), ("sky blue", "sky"), ("dark red, swirly", "red"), ("gray", "grey")],
)
def test_colour_words(words: str, same_as: str) -> None:
    assert disc_colour(words) == disc_colour(same_as) != disc_colour("peppermint stripes")
