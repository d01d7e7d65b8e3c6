"""The file for the phone in a real browser, opened from a folder with the network off."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from test_page import ARTEFACTS, browser  # noqa: F401 - a fixture

from phone_examples import HOSTILE, phone_file
from rimwise.app.bring import bring_file
from rimwise.pictures.phone import phone_html
from rimwise.pictures.phone_scene import PhoneFile
from rimwise.store.opening import open_store

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
#: Smaller than this a finger misses (common practice, no source).
TARGET_PX = 44


def written(folder: Path, file: PhoneFile) -> str:
    path = folder / "phone.html"
    path.write_text(phone_html(file), encoding="utf-8")
    return path.as_uri()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a file with names that would do harm if they were not only text."""
    return written(tmp_path_factory.mktemp("hostile"), phone_file(HOSTILE))


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a file for the course and a disc of the tiny season."""
    file = phone_file()
    holes = tuple(replace(one, ref=ref) for one, ref in zip(file.holes, "12", strict=True))
    return written(tmp_path_factory.mktemp("plain"), replace(file, course="course", holes=holes))


@pytest.fixture
def opened(browser: Any) -> Iterator[Callable[..., Any]]:  # noqa: F811
    """Return a function that opens a file; afterwards nothing may have been asked or gone wrong."""
    contexts: list[Any] = []
    own: set[str] = set()
    wrong: list[str] = []

    def open_file(address: str, *, denied: bool = False, **settings: Any) -> Any:
        context = browser.new_context(viewport=PHONE, offline=True, **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: wrong.append(request.url))
        page.on("console", lambda message: wrong.append(message.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("dialog", lambda dialog: wrong.append(dialog.message))
        if denied:
            page.add_init_script(
                "Object.defineProperty(window, 'localStorage', {get() { throw new Error('no'); }})"
            )
        own.add(address)
        page.goto(address)
        return page

    yield open_file
    for context in contexts:
        context.close()
    # The file itself, and what its button saves.
    assert [one for one in wrong if one not in own and not one.startswith("blob:")] == []


def said(page: Any) -> list[list[str]]:
    """Return the paragraphs of the choices shown."""
    cards = page.locator("section.hole:not([hidden]) .choices > li")
    return [
        [text.strip() for text in cards.nth(n).locator("p").all_inner_texts()]
        for n in range(cards.count())
    ]


def expected(file: PhoneFile, hole: int, wind: int) -> list[list[str]]:
    return [
        [
            f"{n}\n{one.disc}",
            f"{one.line[0].upper()}{one.line[1:]}; {one.aim}.",
            f"{one.landing[0].upper()}{one.landing[1:]}.",
            one.chances,
            one.compared,
        ]
        for n, one in enumerate(file.holes[hole].told[wind], start=1)
    ]


def tap(page: Any, x_m: float, y_m: float) -> None:
    """Tap the map at a place of the hole."""
    page.evaluate(
        """([x, y]) => {
          const svg = document.querySelector("section.hole:not([hidden]) svg");
          svg.scrollIntoView({block: "center"});
        }""",
        [x_m, y_m],
    )
    at = page.evaluate(
        """([x, y]) => {
          const svg = document.querySelector("section.hole:not([hidden]) svg");
          const p = new DOMPoint(-y, -x).matrixTransform(svg.getScreenCTM());
          return [p.x, p.y];
        }""",
        [x_m, y_m],
    )
    page.mouse.click(*at)


def test_it_reads_without_script(opened: Any, address: str) -> None:
    page = opened(address, java_script_enabled=False)
    file = phone_file(HOSTILE)
    assert page.get_by_role("heading", level=2).count() == 2 + 1  # and what it rests on
    assert said(page) == expected(file, 0, file.expected) + expected(file, 1, file.expected)
    assert page.locator("svg[role=img]").count() == 2
    page.get_by_text("From the tee in other winds").first.click()
    assert page.get_by_role("heading", name="calm", exact=True).is_visible()
    ARTEFACTS.mkdir(exist_ok=True)
    page.screenshot(path=ARTEFACTS / "phone-file-no-script.png", full_page=True)


@pytest.mark.parametrize(("units", "bearings"), [("m", True), ("ft", False)])
def test_script_says_the_same_as_the_text_in_every_wind(
    opened: Any, tmp_path: Path, units: Any, bearings: bool
) -> None:
    file = phone_file(HOSTILE, units)
    if not bearings:
        holes = tuple(replace(one, bearing_deg=None, areas=()) for one in file.holes)
        file = replace(file, holes=holes)
    page = opened(written(tmp_path, file))
    winds = [f"Wind: {text}." for text in page.locator("#hole-1 .others h3").all_text_contents()]
    winds.insert(file.expected, page.locator("#hole-1 .wind").inner_text())
    assert len(set(winds)) == len(file.winds)
    strength = page.get_by_label("How strong the wind is")
    side = page.get_by_label("Where the wind comes from")
    assert said(page) == expected(file, 0, file.expected)
    for n, wind in enumerate(file.winds):
        strength.select_option(str(wind.strength))
        if wind.strength:
            side.select_option(str(round(wind.from_deg / 45.0)))
        assert said_without_buttons(page) == expected(file, 0, n), n
        assert page.locator("#hole-1 .wind").inner_text() == winds[n]
    page.get_by_label("Next hole").click()
    assert said_without_buttons(page) == expected(file, 1, len(file.winds) - 1)


def said_without_buttons(page: Any) -> list[list[str]]:
    """Return the same in one call, for many winds."""
    found: list[list[str]] = page.evaluate(
        """() => [...document.querySelectorAll("section.hole:not([hidden]) .choices > li")].map(
          (card) => [...card.querySelectorAll("p")].map((p) => p.innerText.trim()))"""
    )
    return found


def test_script_draws_the_map_as_it_stands_in_the_file(opened: Any, address: str) -> None:
    """What is drawn anew for the wind foreseen lies where the file's own drawing lay."""
    marks = """() => [...document.querySelectorAll("#hole-1 g.throws > *")].map((one) => {
        const box = one.getBoundingClientRect(), map = one.ownerSVGElement.getBoundingClientRect();
        const at = [box.x - map.x, box.y - map.y, box.width, box.height];
        return [one.tagName, ...at.map((v) => v / map.width)];
    })"""
    still = opened(address, java_script_enabled=False)
    live = opened(address)
    before, after = still.evaluate(marks), live.evaluate(marks)
    assert len(before) == len(after) > 20
    for old, new in zip(before, after, strict=True):
        assert old[0] == new[0]
        assert new[1:] == pytest.approx(old[1:], abs=0.005)


def test_a_tap_shows_what_is_best_from_the_nearest_lie(opened: Any, plain: str) -> None:
    page = opened(plain)
    tap(page, 38.0, -10.0)
    where = page.locator("#hole-1 .where").inner_text()
    assert "You are 38 m out, 10 m right of the line" in where
    assert "best from 40 m out, 15 m right of the line, 5 m from you (without a run-up)" in where
    assert page.locator("#hole-1 svg text").get_by_text("you", exact=True).count() == 1
    tap(page, 84.0, 1.0)
    assert "Putt." in page.locator("#hole-1 .where").inner_text()
    assert "a putt from there" in said(page)[0][0]
    above = page.get_by_role("button", name="Made").bounding_box()
    assert above["y"] < page.locator("#hole-1 svg").bounding_box()["y"]
    # 24 m from the basket one does not putt, though one would from the nearest lie, 12 m from it.
    tap(page, 64.0, 1.0)
    where = page.locator("#hole-1 .where").inner_text()
    assert "This is best from 40 m out, 15 m right of the line" in where
    tap(page, 75.0, 6.0)
    assert "Putt." in page.locator("#hole-1 .where").inner_text()
    page.get_by_role("button", name="Back to the tee").click()
    assert page.locator("#hole-1 .where").inner_text() == "From the tee:"
    page.screenshot(path=ARTEFACTS / "phone-file.png", full_page=True)


def test_a_hole_is_logged_handed_over_and_brought_in_once(
    opened: Any, plain: str, season: Path, tmp_path: Path
) -> None:
    page = opened(plain, accept_downloads=True)
    page.get_by_role("button", name="I threw this").first.click()
    tap(page, 61.0, 4.0)
    assert "Kept: NH 27 blue" in page.get_by_role("status").first.inner_text()
    tap(page, 84.0, 1.0)
    page.get_by_role("button", name="Made").click()
    page.get_by_role("button", name="One more").click()
    page.get_by_role("button", name="One fewer").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    page.reload()  # everything is still there
    listed = page.locator("#entries li").all_inner_texts()
    assert len(listed) == 3
    assert "Round: 1: 3; 3 strokes on 1 hole" in listed[0]
    text = page.get_by_label("The text").input_value()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save as a file").click()
    saved = tmp_path / "from-phone.txt"
    waiting.value.save_as(saved)
    assert saved.read_text(encoding="utf-8") == text
    page.screenshot(path=ARTEFACTS / "phone-file-logged.png", full_page=True)
    with open_store(season) as store:
        brought = bring_file(store, saved, today=date.today(), now=datetime.now())
        assert brought.words == "1 throw, 1 putt and 1 round from from-phone.txt."
        again = bring_file(store, saved, today=date.today(), now=datetime.now())
        assert again.count == 0
        (_, throw), *_ = reversed(store.throws.all())
        assert throw.disc_id == "nh27-blue"
        one = phone_file().holes[0].answers[phone_file().expected][0].throws[0]
        # The aim was to the left by the choice's heading; a tap is good to its pixel.
        assert throw.distance_m == pytest.approx(abs(complex(61.0, 4.0)), abs=2.0)
        assert throw.line.effort == one.effort
        assert throw.weather.wind_m_s == 6.0
        assert throw.weather.wind_from_deg == 270.0
        assert store.putts.all()[-1][1].distance_m == pytest.approx(4.1, abs=0.6)


def test_a_slip_of_the_finger_is_taken_back(opened: Any, plain: str) -> None:
    page = opened(plain)
    listed, undo = page.locator("#entries li"), page.get_by_role("button", name="Take that back")
    page.get_by_role("button", name="I threw this").first.click()
    tap(page, 61.0, 4.0)
    assert listed.count() == 1
    undo.click()  # and the same throw is asked for again
    assert listed.count() == 0
    assert "where did it come to rest" in page.locator("#asked").inner_text()
    assert page.locator("#hole-1 .where").inner_text() == "From the tee:"
    tap(page, 70.0, -4.0)
    assert "You are 70 m out" in page.locator("#hole-1 .where").inner_text()
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_role("button", name="One more").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    assert "Round: 1: 4" in listed.first.inner_text()
    undo.click()
    assert "it is 3 again" in page.locator("#asked").inner_text()
    assert "Round: 1: 3" in listed.first.inner_text()
    assert undo.count() == 0
    page.get_by_label("From, m").fill("5")
    page.get_by_role("button", name="Missed").click()
    undo.click()
    assert listed.count() == 2
    page.get_by_role("button", name="Keep", exact=True).click()
    assert "Kept: 3 on hole 1; 3 strokes on 1 hole." in page.locator("#asked").inner_text()
    page.get_by_role("button", name="On to hole 2").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    undo.click()  # a hole that had no score has none again
    assert "3 strokes on 1 hole" in listed.first.inner_text()
    page.reload()
    assert listed.count() == 2


def test_a_first_score_taken_back_leaves_no_round(opened: Any, plain: str) -> None:
    page = opened(plain)
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_role("button", name="Take that back").click()
    assert "Nothing yet" in page.locator("#log").inner_text()
    page.get_by_role("button", name="Keep", exact=True).click()
    assert page.get_by_label("The text").input_value().count("round|") == 1


def test_the_count_begins_at_par_and_a_hole_left_alone_has_no_score(
    opened: Any, tmp_path: Path
) -> None:
    file = phone_file()
    first, second = file.holes
    page = opened(written(tmp_path, replace(file, holes=(replace(first, par=5), second))))
    count = page.locator("#hole-1 output")
    assert count.inner_text() == "5"
    assert "begins at par 5" in page.locator("#hole-1").inner_text()
    page.get_by_role("button", name="One more").click()
    page.get_by_label("Hole", exact=True).select_option(index=1)  # looked at, and left alone
    assert page.locator("#hole-2 output").inner_text() == "3"
    assert "None yet" in page.locator("#hole-2").inner_text()
    assert "Nothing yet." in page.locator("#log").inner_text()
    page.get_by_label("Hole", exact=True).select_option(index=0)
    page.get_by_label("From, m").fill("5")
    page.get_by_role("button", name="Made").click()  # a putt between takes no count back
    assert count.inner_text() == "6"
    page.get_by_role("button", name="One fewer").click()
    page.get_by_role("button", name="One fewer").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    assert "Round: 1: 4; 4 strokes on 1 hole" in page.locator("#entries li").first.inner_text()
    text = page.get_by_label("The text").input_value()
    assert "|1:4|" in text  # and no score of the hole that was left alone
    assert "4 is kept." in page.locator("#hole-1").inner_text()


def test_the_count_begins_at_three_where_no_par_is_known(opened: Any, tmp_path: Path) -> None:
    file = phone_file()
    page = opened(written(tmp_path, replace(file, holes=(replace(file.holes[0], par=None),))))
    assert page.locator("#hole-1 output").inner_text() == "3"
    assert "begins at 3" in page.locator("#hole-1").inner_text()


def test_bright_for_the_sun_stays_on(opened: Any, plain: str) -> None:
    page = opened(plain, color_scheme="dark")
    paper = "getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(paper) != "rgb(255, 255, 255)"
    page.get_by_role("button", name="Bright, for the sun").click()
    assert page.evaluate(paper) == "rgb(255, 255, 255)"
    page.reload()
    assert page.evaluate(paper) == "rgb(255, 255, 255)"
    page.get_by_role("button", name="Bright, for the sun", pressed=True).click()
    assert page.evaluate(paper) != "rgb(255, 255, 255)"


def test_by_keyboard_and_typing_alone(opened: Any, plain: str) -> None:
    page = opened(plain)
    page.get_by_text("I threw another disc").press("Enter")
    page.get_by_label("Disc", exact=True).select_option("OL 5 grey")
    page.get_by_role("button", name="Then it came to rest").press("Enter")
    page.get_by_text("Type it instead").press("Enter")
    page.locator("#asked").get_by_label("Out from the tee").fill("forty")
    page.get_by_role("button", name="Keep this throw").press("Enter")
    assert "such as 60 and 5" in page.get_by_role("alert").first.inner_text()
    assert page.locator("#asked").get_by_label("Out from the tee").input_value() == "forty"
    page.locator("#asked").get_by_label("Out from the tee").fill("41,2")
    page.locator("#asked").get_by_label("Aside").fill("3")
    page.get_by_role("button", name="Keep this throw").press("Enter")
    assert "OL 5 grey: 41 m, 3 m left" in page.locator("#entries li").first.inner_text()
    page.get_by_role("button", name="Delete: OL 5 grey").press("Enter")
    assert page.locator("#entries").count() == 0
    page.get_by_label("From, m").fill("400")
    page.get_by_role("button", name="Missed").press("Enter")
    assert "0.5 to 40 m long" in page.get_by_role("alert").first.inner_text()
    assert page.locator("#entries").count() == 0


def test_where_nothing_may_be_kept_it_says_so(opened: Any, plain: str) -> None:
    page = opened(plain, denied=True)
    assert "gone when you close it" in page.locator("#log").inner_text()
    page.get_by_role("button", name="Keep", exact=True).click()
    assert page.get_by_label("The text").input_value().startswith("rimwise phone log 1\nround|")


@pytest.mark.parametrize(
    ("theme", "script"), [("light", True), ("dark", True), ("sun", True), ("light", False)]
)
def test_axe_finds_nothing_and_contrast_is_that_for_sun(
    opened: Any, tmp_path: Path, theme: str, script: bool
) -> None:
    axe = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
    html = phone_html(phone_file(HOSTILE))
    if not script:  # axe needs script itself, so the file's own is taken out
        html = html[: html.rindex("<script>")] + "</body></html>"
    path = tmp_path / "phone.html"
    path.write_text(html, encoding="utf-8")
    scheme = "dark" if theme == "sun" else theme
    page = opened(path.as_uri(), color_scheme=scheme, bypass_csp=True)
    if theme == "sun":
        page.get_by_role("button", name="Bright, for the sun").click()
    if script:
        page.get_by_role("button", name="I threw this").first.click()
        page.get_by_text("Type it instead").click()
        page.locator("#asked").get_by_label("Out from the tee").fill("40")
        page.get_by_role("button", name="Keep this throw").click()
    for summary in page.locator("section:not([hidden]) summary").all():
        summary.click()
    page.evaluate("window.scrollTo(0, 0)")  # nothing lies under the bar
    page.evaluate(axe)
    rules = {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}
    # Only violations are written out in full; to write down all else takes as long again.
    asked = {"rules": rules, "resultTypes": ["violations"]}
    found = page.evaluate("(asked) => axe.run(asked)", asked)
    assert len(found["passes"]) > 10
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"]] == []
    page.screenshot(path=ARTEFACTS / f"phone-file-{theme}-{script}.png", full_page=True)


def test_it_fits_and_fingers_hit(opened: Any, address: str) -> None:
    page = opened(address)
    page.get_by_role("button", name="I threw this").first.click()
    for summary in page.locator("section:not([hidden]) summary").all():
        summary.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    small = page.evaluate(
        """(least) => [...document.querySelectorAll("button, select, input, textarea, summary")]
          .filter((one) => one.offsetParent !== null)
          .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
          .filter(([, box]) => box.width < least || box.height < least).map(([html]) => html)""",
        TARGET_PX,
    )
    assert small == []
