"""What the owner has: starting, naming, listing, changing, assuming."""

from __future__ import annotations

import json

import pytest

from rimwise.app.box import (
    assumptions_of,
    available_discs,
    disc_named,
    role_positions,
    set_assumption,
    units_of,
)
from rimwise.app.bring import kind_of
from rimwise.app.showing import change_disc, disc_rows
from rimwise.app.starting import start, thrower_from
from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Weight, WeightRelativeTo
from rimwise.records.thrower import Hand, Style
from rimwise.store.opening import open_store


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


# -- starting ------------------------------------------------------------------------------


def test_the_style_that_goes_farther_is_the_stock_throw():
    given = {"name": "T", "hand": "left", "level": "advanced"}
    one = thrower_from(backhand_m=90.0, forehand_m=70.0, **given)
    two = thrower_from(backhand_m=60.0, forehand_m=70.0, **given)
    assert (one.hand, one.stock.style, two.stock.style) == (
        Hand.LEFT, Style.BACKHAND, Style.FOREHAND,
    )  # fmt: skip
    assert thrower_from(backhand_m=None, forehand_m=None, **given) is None


def test_a_second_start_replaces_the_thrower_and_keeps_the_units(store):
    given = {"hand": "right", "backhand_m": 91.44, "forehand_m": None, "level": "recreational"}
    told = start(store, thrower_from(name="A", **given), "ft").words
    assert "A, right-handed, 300 ft backhand" in told
    assert "300 ft" in start(store, thrower_from(name="B", **given)).words
    assert store.throwers.keys() == ["B"]
    assert start(store, None).thrower is None
    assert units_of(store) == "ft"
    assert store.throwers.keys() == ["B"]


def test_feet_typed_are_metres_kept(cli, tmp_path):
    data = tmp_path / "new" / "my.db"
    assert cli("--data", data, "init", "--fairway", "300 ft", "--forehand", "60,5m").code == 0
    with open_store(data) as opened:
        thrower = opened.throwers.get("me")
    assert [skill.fairway_distance_m for skill in thrower.styles] == pytest.approx([91.44, 60.5])


# -- naming --------------------------------------------------------------------------------


def test_a_disc_may_be_named_by_what_fits_it_alone(store):
    assert disc_named(store, "NH27-Blue").id == "nh27-blue"
    assert disc_named(store, "gold").id == "nh27-gold"
    assert disc_named(store, "kv red").id == "kv15-red"
    with pytest.raises(NotFoundError, match="fits 2 discs: nh27-blue, nh27-gold"):
        disc_named(store, "nh27")
    with pytest.raises(NotFoundError, match="no disc fits ' '"):
        disc_named(store, " ")


def test_roles(store):
    from rimwise.app.box import fleet_of

    fleet = fleet_of(store, Assumptions())
    putters = [fleet.ids[i] for i in role_positions(store, fleet, "Putter")]
    assert putters == ["nh3-white-1", "nh3-yellow"]
    with pytest.raises(InputError, match="roles are putter"):
        role_positions(store, fleet, "brick")


# -- listing and changing ------------------------------------------------------------------


def test_what_is_lost_is_no_longer_listed_nor_chosen(store):
    everybody = [row.disc_id for row in disc_rows(store)]
    assert len(everybody) == 6
    assert change_disc(store, "gold", "status=lost").status.value == "lost"
    assert "nh27-gold" not in [row.disc_id for row in disc_rows(store)]
    assert "nh27-gold" not in [disc.id for disc in available_discs(store)]
    assert [row.disc_id for row in disc_rows(store, everything=True)] == everybody
    change_disc(store, "nh27-gold", "status=home")
    assert [row.disc_id for row in disc_rows(store)] == everybody


def test_discs_are_listed_slow_ones_first(store):
    speeds = [row.printed[0] for row in disc_rows(store)]
    assert speeds == sorted(speeds)


@pytest.mark.parametrize(
    ("change", "field", "value"),
    [("wear=0.9", "wear", 0.9), ("colour=sky blue", "colour", "sky blue"),
     ("note=a=b", "note", "a=b"), ("note=", "note", ""), ("cost=18,5", "cost", 18.5),
     ("cost=", "cost", None), ("weight=171.5", "weight", Weight(171.5)),
     ("weight=6 oz", "weight", Weight(6 * 28.349523125)),
     ("weight=168ish", "weight", Weight(168.0, 3.0)),
     ("weight=4 g lighter than kv15-red", "weight", WeightRelativeTo("kv15-red", -4.0))],
)  # fmt: skip
def test_a_change_is_kept(store, change, field, value):
    change_disc(store, "nh27-blue", change)
    assert getattr(store.discs.get("nh27-blue"), field) == value


@pytest.mark.parametrize(
    ("weight", "said"),
    [("900", "a disc weighs 60 to 200 g"), ("heavy", "write 170, 170ish or 5 g lighter than"),
     ("6.1", "looks like ounces"), ("2 g lighter than nosuch", "nosuch")],
)  # fmt: skip
def test_a_weight_that_is_none_changes_nothing(store, weight, said):
    before = store.discs.get("nh27-blue")
    with pytest.raises(RimwiseError, match=said):
        change_disc(store, "nh27-blue", f"weight={weight}")
    assert store.discs.get("nh27-blue") == before


@pytest.mark.parametrize("columns", [80, 120])
def test_the_list_keeps_every_disc_on_a_line_of_its_own(cli, unplanned, columns):
    lines = cli("--data", unplanned, "discs", columns=columns).out.splitlines()
    assert max(len(line) for line in lines) <= columns
    rows = [line for line in lines if line[:2] in ("nh", "kv", "ol")]
    assert len(rows) == 6
    grip = "good, good, good, poor" if columns == 120 else "4/4/4/2"
    assert grip in next(line for line in rows if line.startswith("nh27-blue"))


# -- assumptions ---------------------------------------------------------------------------


def test_an_assumption_is_kept_and_marked(cli, unplanned):
    said = cli("--data", unplanned, "assume", "--set", "lost_disc_strokes", "0.5")
    default = Assumptions().lost_disc_strokes
    assert f"0.5 (was {default:g})" in " ".join(said.out.split())
    rows = json.loads(cli("--data", unplanned, "assume", "--json").out)
    changed = [row["name"] for row in rows if row["value"] != row["default"]]
    assert changed == ["lost_disc_strokes"]


def test_an_assumption_set_back_is_no_change(store):
    set_assumption(store, "lost_disc_strokes", 0.5)
    assert assumptions_of(store).lost_disc_strokes == 0.5
    set_assumption(store, "lost_disc_strokes", Assumptions().lost_disc_strokes)
    assert assumptions_of(store) == Assumptions()
    assert store.settings.get("assumptions") == {}


# -- guessing what a file holds ------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "content", "kind"),
    [
        ("my.osm", b"", "course"),
        ("x.json", b'{"type": "FeatureCollection"}', "course"),
        ("x.json", b'{"pockets": []}', "cart"),
        ("x.json", b'{"hand": "left"}', "thrower"),
        ("x.csv", "\ufeffhole,length (m)".encode(), "course"),
        ("x.csv", b"month,temperature_c", "conditions"),
        ("x.txt", b"METAR ZZZZ 141150Z", "conditions"),
        ("plastics.csv", b"name,durability", "plastics"),
        ("x.txt", b"blue NH 27, soft base, 170ish, old", "discs"),
    ],
)
def test_a_file_is_known_by_its_ending_and_heading(tmp_path, name, content, kind):
    assert kind_of(tmp_path / name, content) == kind
