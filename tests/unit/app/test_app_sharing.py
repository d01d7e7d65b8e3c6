"""The list to show others, the season's story, and the one-page card of the cart."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from rimwise.app import sharing
from rimwise.app.reports import load_plan, load_swaps, save_plan
from rimwise.app.sharing import share, write_card
from rimwise.app.sheets import sheet_of
from rimwise.app.swapping import make_swaps
from rimwise.decide.report import BoundWish, CarSwap
from rimwise.errors import InputError, NotFoundError, StoreError
from rimwise.pictures.card import CardDisc, CardPocket, CardScene, card_document, scaled_strokes
from rimwise.store.opening import open_store


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


@pytest.mark.parametrize("form", ["text", "markdown"])
def test_the_list_names_every_carried_disc_once_in_the_order_of_the_pockets(store, form):
    plan = load_plan(store, "winter")
    told = share(store, "winter", form=form)
    labels = {line.disc_id: line.label for line in plan.discs}
    rows = [line for line in told.text.splitlines() if line.startswith("- ")]
    assert len(rows) == len(plan.chosen)
    for disc in plan.chosen:
        assert sum(labels[disc] in row for row in rows) == 1
    assert ("# " in told.text) == (form == "markdown")


def test_the_handiest_pocket_comes_first_whatever_it_is_called(store):
    (name,) = store.carts.keys()
    cart = store.carts.get(name)
    called = {pocket.name: f"{9 - pocket.at_hand} {pocket.name}" for pocket in cart.pockets}
    store.carts.put(
        replace(cart, pockets=tuple(replace(p, name=called[p.name]) for p in cart.pockets))
    )
    told = share(store, "winter").text
    places = [
        told.find(f"{called[p.name]}:") for p in sorted(cart.pockets, key=lambda p: p.at_hand)
    ]
    filled = [place for place in places if place >= 0]
    assert len(filled) >= 1
    assert filled == sorted(filled)


@pytest.mark.usefixtures("rough")
def test_the_story_is_that_of_the_kept_swap_list(store):
    make_swaps(store, "summer", "winter")
    told = share(store, "winter", since="summer", form="markdown")
    swaps = load_swaps(store, "summer", "winter")
    assert swaps.summary in told.text
    for sentence in swaps.sentences:
        assert sentence in told.text
    with pytest.raises(NotFoundError, match="rimwise swap spring winter"):
        share(store, "winter", since="spring")
    with pytest.raises(InputError, match="named twice"):
        share(store, "winter", since="winter")


def test_a_name_is_shown_in_markdown_as_it_was_typed():
    assert sharing._escaped("a*b_[x](y)<script>") == r"a\*b\_\[x\](y)\<script\>"


def _wished(store):
    """Keep the winter's plan with one alternate in the car and two wishes, and return it."""
    plan = load_plan(store, "winter")
    into = plan.left[0].disc_id
    swap = CarSwap(plan.days[0].name, (plan.chosen[0],), (into,), 0.3, 0.1)
    liked, stays = f"{plan.chosen[1]} stays in because you like it", f"{into} has to stay"
    made = replace(
        plan, alternates=(into,), car_swaps=(swap, CarSwap("calm", (), (), 0.0, 0.0)),
        wishes=(liked, stays), putting=plan.chosen[2],
        bound=(BoundWish(liked, 0.25, 0.05, (plan.chosen[1],), (into,)),),
    )  # fmt: skip
    save_plan(store, made)
    return made


@pytest.mark.parametrize("form", ["text", "markdown"])
def test_the_list_and_the_card_tell_the_car_and_the_wishes_that_bound(store, form):
    plan = _wished(store)
    label = {line.disc_id: line.label for line in plan.discs}
    out, liked, (into,) = label[plan.chosen[0]], label[plan.chosen[1]], plan.alternates
    told = share(store, "winter", form=form).text
    day = plan.days[0].name
    mine = told[told.index("In the car") :]
    assert f"{label[into]} in for {out}; saves 0.30 strokes, give or take 0.10" in mine
    assert "On the other days nothing changes." in mine
    assert f"After the swap at the car for {day}" in mine
    assert (
        f"{liked} stays in because you like it: it costs 0.25 strokes, give or take 0.05, a round; "
        f"without it {label[into]} would come in its place."
    ) in mine
    assert "has to stay" not in told
    assert told.count("For putting") == 1
    _, data = card_document(sharing._scene(store, "winter"), "a4")
    shown = json.loads(data)
    assert [one["label"] for one in shown["car"]["discs"]] == [label[into]]
    assert len(shown["swaps"]) == 3
    assert len(shown["wishes"]) == 1
    sheet = sheet_of(store, "winter")
    assert "<h2>In the car</h2>" in sheet
    assert "<h2>Your wishes</h2>" in sheet


@pytest.mark.parametrize("name", ["card.pdf", "card.png", "card.svg"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_card_is_one_page_of_its_kind(store, tmp_path, name, paper):
    written = write_card(store, tmp_path / name, conditions="winter", paper=paper)
    page = (tmp_path / name).read_bytes()
    assert written.size_bytes == len(page)
    starts = {"pdf": b"%PDF-", "png": b"\x89PNG", "svg": b"<svg"}
    assert page.startswith(starts[name[-3:]])
    if name.endswith("pdf"):
        assert _pages(page) == 1


def _pages(pdf: bytes) -> int:
    """Return the number of pages that a PDF says it has."""
    return int(re.search(rb"/Type\s*/Pages\s*/Count (\d+)", pdf)[1])


def _scene(discs: int, label: str = "NH 27 soft base, red", words: int = 12) -> CardScene:
    told = tuple(
        CardDisc(
            f"d{n}", label, "red", "7 / 5 / \u22121 / 2", "Goes 80 m at most.", "word " * words
        )
        for n in range(discs)
    )
    return CardScene("winter", "Many", "Sum.", (CardPocket("Well", told),), None, "", "C.", "", "")


@pytest.mark.parametrize("discs", [1, 20, 30])
def test_thirty_discs_with_long_jobs_still_fit_on_one_page(discs):
    scene = _scene(discs, words=30)
    line = "word " * 30
    full = replace(
        scene, car=CardPocket("In the car", scene.pockets[0].discs[:5]), swaps=(line,) * 4,
        wishes=(line,) * 5,
    )  # fmt: skip
    for one in (scene, full):
        assert _pages(sharing._printed(one, "pdf", "a4")) == 1


@pytest.mark.parametrize(
    "label",
    ["<script>alert(1)</script>", "#eval(1)", "$x$ *b* _i_ [c] @ref \\", "\u202eRTL \U0001f94f"],
)
def test_a_hostile_name_is_only_shown(label):
    page = sharing._printed(_scene(2, label), "svg", "a4")
    assert page.startswith(b"<svg")
    assert b"<script" not in page


def test_what_cannot_be_written_is_refused_in_words(store, tmp_path):
    with pytest.raises(InputError, match=r"\.pdf, \.png or \.svg"):
        write_card(store, tmp_path / "card.doc")
    with pytest.raises(InputError, match="a4 or letter"):
        write_card(store, tmp_path / "card.pdf", paper="a3")
    with pytest.raises(StoreError, match="cannot be written"):
        write_card(store, tmp_path / "no" / "such" / "card.pdf", conditions="winter")
    assert list(tmp_path.glob("*.pdf")) == []


def test_without_the_print_part_it_says_what_to_install(store, tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "typst", None)
    with pytest.raises(InputError, match=r"rimwise\[print\]"):
        write_card(store, tmp_path / "card.pdf", conditions="winter")


def test_lines_that_keep_their_width_get_it_in_the_drawings_units():
    svg = (
        '<svg xmlns="x" width="100" height="50" viewBox="0 0 20 10"><path d="M0 0" '
        'stroke-width="2" vector-effect="non-scaling-stroke" stroke-dasharray="5 10"/>'
        '<text stroke-width="3">a</text></svg>'
    )
    found = scaled_strokes(svg)
    assert 'stroke-width="0.400"' in found
    assert 'stroke-dasharray="1.000 2.000"' in found
    assert '<text stroke-width="3">' in found


def test_the_data_of_a_card_hold_what_is_shown():
    template, data = card_document(_scene(1), "us-letter")
    assert "sys.inputs.data" in template
    assert '"us-letter"' in data


def test_the_commands_write_and_print(cli, season, tmp_path):
    said = cli("--data", season, "share", "winter", "--markdown")
    assert said.code == 0
    assert said.out.startswith("# ")
    said = cli("--data", season, "share", "winter", "--picture", tmp_path / "c.svg")
    assert said.code == 0
    assert "<svg" in (tmp_path / "c.svg").read_text(encoding="utf-8")
    said = cli("--data", season, "share", "winter", "--picture", tmp_path / "c.gif")
    assert (said.code, "name a .pdf, .png or .svg file" in said.err.replace("\n", " ")) == (1, True)
    said = cli("--data", season, "sheet", "winter", "--card", tmp_path / "c.pdf")
    assert said.code == 0
    assert (tmp_path / "c.pdf").exists()
