"""Belief strips show and say where a disc finishes, and what that rests on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from reading import parse, points, texts, windows

import picture_examples as examples
from rimwise.errors import InputError
from rimwise.pictures.belief import BeliefStrip, Hill, belief_strip_svg, ends_words, window_of
from rimwise.pictures.svg import text_width_px

STRIP = examples.belief_strip()


def drawn(strip, **how):
    (window,) = windows(parse(belief_strip_svg(strip, **how)))
    return window


def of_class(window, tag, name):
    return [e for e in window.own(tag) if e.attrib.get("class") == name]


def places(window):
    """Read the strip's scale: metres left to pixels, from two labels of it."""
    at = {text: x for text, (x, _) in texts(window).items() if text.isdigit()}
    zero = next(x for text, (x, _) in texts(window).items() if text.startswith("0 "))
    left = {int(text): x for text, x in at.items() if x < zero}
    size, x = max(left.items())
    return zero, (x - zero) / size


def hills(window):
    """Return the outlines of both hills in metres left and pixels above the ground."""
    zero, px_per_m = places(window)
    found = []
    for paint in ("s-quiet f-shade", "s-accent f-accent"):
        (polygon,) = of_class(window, "polygon", paint)
        outline = points(polygon)
        ground = outline[0][1]
        found.append([((x - zero) / px_per_m, y - ground) for x, y in outline])
    return found


def area(outline):
    return abs(np.trapezoid([up for _, up in outline], [m for m, _ in outline]))


def test_left_is_left_and_the_stroke_stands_where_the_numbers_put_it():
    window = drawn(STRIP)
    zero, px_per_m = places(window)
    assert px_per_m < 0  # left of the thrower is left on the page
    (stroke,) = [p for p in of_class(window, "polyline", "s-ink")
                 if p.attrib["stroke-width"] == "1.8"]  # fmt: skip
    assert points(stroke)[0][0] == pytest.approx(zero + 2.0 * px_per_m, abs=0.02)
    (bar,) = [p for p in of_class(window, "polyline", "s-ink") if p is not stroke]
    ends = sorted((x - zero) / px_per_m for x, _ in points(bar))
    assert ends == pytest.approx([STRIP.now.low_m, STRIP.now.high_m], abs=0.01)
    (middle,) = of_class(window, "circle", "s-ink f-ink")
    assert float(middle.attrib["cx"]) == pytest.approx(zero - 3.0 * px_per_m, abs=0.02)


def test_both_hills_have_one_area_and_the_shape_of_their_densities():
    before, now = hills(drawn(STRIP, window_m=(-30.0, 30.0)))
    assert area(now) == pytest.approx(area(before), rel=0.01)
    for outline, belief in ((before, STRIP.printed), (now, STRIP.now)):
        place, up = np.array(outline).T
        assert place[up.argmax()] == pytest.approx(belief.middle_m, abs=0.3)
        wanted = np.interp(place[1:-1], belief.at_m, belief.per_m) * area(outline)
        assert up[1:-1] == pytest.approx(wanted, abs=0.15)
    assert max(up for _, up in now) == pytest.approx(23.0, abs=0.02)


def test_what_reaches_beyond_the_ground_shown_is_cut_off_there():
    before, _ = hills(drawn(STRIP))
    low, high = window_of([STRIP])
    assert low > STRIP.printed.at_m[0]
    place = [m for m, _ in before]
    assert (min(place), max(place)) == pytest.approx((low, high), abs=0.1)


def test_each_throw_is_a_dot_where_it_says_that_the_disc_finishes():
    window = drawn(replace(STRIP, says_left_m=(-3.0, -5.5, 90.0)))
    zero, px_per_m = places(window)
    (group,) = of_class(window, "g", "f-ink")
    dots = [(float(c.attrib["cx"]) - zero) / px_per_m for c in group]
    assert dots == pytest.approx([-3.0, -5.5], abs=0.01)
    (beyond,) = of_class(window, "circle", "s-ink f-paper")
    edge_m = (float(beyond.attrib["cx"]) - zero) / px_per_m
    assert edge_m == pytest.approx(window_of([STRIP])[1], abs=0.1)


def test_each_comparison_that_pulls_is_a_head_at_its_side():
    heads = of_class(drawn(STRIP), "polygon", "s-ink f-ink")
    tips = [points(head)[0][0] for head in heads]
    backs = [points(head)[1][0] for head in heads]
    assert tips == pytest.approx([1.0, 349.0, 340.5])  # one to the left, two to the right
    assert [back > tip for tip, back in zip(tips, backs, strict=True)] == [True, False, False]
    many = replace(STRIP, pulls=7 * STRIP.pulls[:1])
    window = drawn(many)
    (one,) = of_class(window, "polygon", "s-ink f-ink")
    assert points(one)[0][0] == pytest.approx(349.0)
    assert "×7" in texts(window)


def test_a_left_handers_strip_is_the_same_in_a_mirror():
    def mirrored(belief):
        at = tuple(-m for m in reversed(belief.at_m))
        return Hill(-belief.middle_m, -belief.high_m, -belief.low_m, at, belief.per_m[::-1])

    other = BeliefStrip(
        STRIP.disc, mirrored(STRIP.printed), mirrored(STRIP.now),
        tuple(-m for m in STRIP.says_left_m), STRIP.throws,
        tuple(replace(pull, moves_left_m=-pull.moves_left_m) for pull in STRIP.pulls),
    )  # fmt: skip

    def outline(window, tag, flip):
        return sorted(
            [sorted((round(350.0 - x if flip else x, 1), y) for x, y in points(e))
             for e in window.own(tag)]
        )  # fmt: skip

    one, two = drawn(STRIP, window_m=(-20.0, 20.0)), drawn(other, window_m=(-20.0, 20.0))
    for tag in ("polygon", "polyline"):
        for a, b in zip(outline(one, tag, flip=False), outline(two, tag, flip=True), strict=True):
            assert np.array(a) == pytest.approx(np.array(b), abs=0.11)


def test_the_words_say_what_the_picture_shows():
    root = parse(belief_strip_svg(STRIP))
    said = root.find("{*}desc").text
    assert "by printed numbers alone 2 m left (eight of ten cases: 6 right to 10 left)" in said
    assert "as believed now 3 m right (eight of ten cases: 6 right to 0)" in said
    assert "The throws, each by itself, say: 3 m right, 6 m right, 1 m left and 2 m right." in said
    assert "plainly more stable than kv15, which by itself puts it about 3 m farther right" in said
    assert "slightly less stable than ol5, which by itself puts it about 1 m farther left" in said
    assert "about as stable as ej4, which moves it to neither side" in said


def test_latest_throws_are_counted_among_all():
    strip = replace(STRIP, throws=40, pulls=STRIP.pulls[:1])
    assert "4 of 40 throws, 1 comparison" in texts(drawn(strip))
    said = parse(belief_strip_svg(strip)).find("{*}desc").text
    assert "The latest 4 of 40 throws, each by itself, say" in said
    one = replace(STRIP, throws=1, says_left_m=(4.0,), pulls=())
    assert "The one throw says 4 m left." in parse(belief_strip_svg(one)).find("{*}desc").text
    many = replace(STRIP, pulls=9 * STRIP.pulls[:1])
    said = parse(belief_strip_svg(many)).find("{*}desc").text
    assert said.count("plainly more stable") == 6
    assert "; 3 earlier ones." in said


def test_strips_under_one_another_share_their_ground():
    other = replace(STRIP, now=examples.hill(25.0, 3.0))
    both = window_of([STRIP, other])
    assert both[0] <= STRIP.printed.low_m
    assert both[1] >= other.now.at_m[-1]
    assert places(drawn(STRIP, window_m=both)) == pytest.approx(places(drawn(other, window_m=both)))


@pytest.mark.parametrize("right_m", np.linspace(-21.0, -19.0, 9))
def test_labels_of_the_scale_leave_room_for_left_and_right(right_m):
    at = texts(drawn(STRIP, window_m=(float(right_m), 20.0)))
    labels = {text: x for text, (x, y) in at.items() if y == 3.0 and text[0].isdigit()}
    assert len(labels) > 1
    for text, x in labels.items():
        half = 0.5 * text_width_px(text, 10.5)
        assert text_width_px("← left", 10.5) < x - half
        assert x + half < 350.0 - text_width_px("right →", 10.5)


def test_the_aim_line_is_in_every_strip():
    for middle_m in (-40.0, 40.0):
        far = replace(STRIP, printed=examples.hill(middle_m, 4.0), now=examples.hill(middle_m, 2.0))
        low, high = window_of([far])
        assert low < 0.0 < high
        assert "0 m" in texts(drawn(far))


def test_feet_are_written_where_they_are_thought_in():
    window = drawn(STRIP, units="ft")
    assert "0 ft" in texts(window)
    assert any(text.startswith("10 ft right (") for text in texts(window))


@pytest.mark.parametrize(
    ("low_m", "high_m", "said"),
    [(5.0, 11.0, "5 to 11"), (-11.0, -5.0, "5 to 11"), (-2.0, 4.0, "2 right to 4 left"),
     (0.2, 4.0, "0 to 4 left"), (-4.0, -0.2, "4 right to 0"), (9.0, 10.0, "9 to 10")],
)  # fmt: skip
def test_ends_are_said_shortly(low_m, high_m, said):
    assert ends_words(low_m, high_m, "m") == said


def test_a_hill_needs_places():
    with pytest.raises(InputError, match="density at each"):
        Hill(0.0, -1.0, 1.0, (0.0,), (1.0,))
