"""Throwers and carts from JSON, plastics from tables."""

from __future__ import annotations

import json

import pytest
import store_examples as ex
from pydantic import TypeAdapter

from rimwise.errors import InputError
from rimwise.records.carts import Cart
from rimwise.records.thrower import Thrower
from rimwise.store.exchange.export import export_plastics_csv
from rimwise.store.exchange.json_files import read_cart_json, read_thrower_json
from rimwise.store.exchange.plastics import read_plastics_csv
from rimwise.store.exchange.save import save_plastics
from rimwise.store.opening import open_store

THROWER = {
    "name": "owner",
    "hand": "left",
    "styles": [{"style": "backhand", "fairway_distance_m": 90}],
}
GRIPS = "plastic,grip cold-dry,cold wet,warm_dry,grip_hot_sweaty"


def test_a_thrower_and_a_cart_read_back_equal():
    thrower = TypeAdapter(Thrower).dump_json(ex.THROWER)
    assert read_thrower_json(thrower, "me.json") == ex.THROWER
    cart = TypeAdapter(Cart).dump_json(ex.CART)
    assert read_cart_json(cart.decode(), "cart.json") == ex.CART


def test_what_is_left_out_takes_its_default():
    thrower = read_thrower_json(json.dumps(THROWER), "me.json")
    assert thrower.stock.launch_deg == 10.0
    assert thrower.styles[0].fairway_distance_m == 90.0


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"hand": "both"}, "me.json: field 'hand' is 'both'; input should be 'right' or 'left'."),
        ({"hand": None}, "me.json: field 'hand' is None; input should be 'right' or 'left'."),
        (
            {"styles": [{"style": "backhand", "fairway_distance_m": 900}]},
            (
                "me.json: field 'styles.0': backhand distance must be between 25 and 190 m, "
                "but is 900 m."
            ),
        ),
        (
            {"styles": [{"style": "backhand"}]},
            "me.json: field 'styles.0.fairway_distance_m' is missing; add it.",
        ),
        ({"styles": []}, "me.json: thrower owner needs at least one style with a distance."),
        (
            {"stock": {"style": "backhand", "hyzer_deg": 1, "launch_deg": 9, "hieght": 2}},
            "me.json: there is no field 'stock.hieght'; delete it or correct its name.",
        ),
        (
            {"styles": [{"style": "backhand", "fairway_distance_m": 90, "nose": 1}]},
            "me.json: there is no field 'styles.0.nose'; delete it or correct its name.",
        ),
    ],
)
def test_a_wrong_field_is_named_with_its_path(change, sentence):
    with pytest.raises(InputError) as caught:
        read_thrower_json(json.dumps({**THROWER, **change}), "me.json")
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('{"name": "x",\n"hand"}', "me.json, line 2: this is no JSON ("),
        ("[]", "me.json is no JSON object; put the fields between braces { }."),
        ('{"mass_kg": NaN}', "me.json holds NaN, which is no number of JSON; write a finite"),
        ("[" * 100_000, "me.json is nested too deeply; give a plain Cart."),
        ("", "me.json is empty"),
    ],
)
def test_no_json_at_all(text, sentence):
    with pytest.raises(InputError) as caught:
        read_cart_json(text, "me.json")
    assert str(caught.value).startswith(sentence)


def test_plastics_in_words_and_numbers():
    text = f"{GRIPS},durability,floats\nsoft base,good,fair,5,slips,0.3,no\nlight,3,3,3,3,,yes\n"
    read = read_plastics_csv(text, "plastics.csv")
    assert read.problems == ()
    soft, light = read.plastics
    assert (soft.grip.cold_dry, soft.grip.cold_wet, soft.grip.hot_sweaty) == (4.0, 3.0, 1.0)
    assert (soft.durability, soft.floats) == (0.3, False)
    assert (light.durability, light.floats) == (0.5, True)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (f"{GRIPS}\na,3,3,3,\n", "line 2: grip hot-sweaty is empty; write 1 to 5, or 3 if you"),
        (f"{GRIPS}\na,3,3,3,6\n", "line 2: grip hot-sweaty is 6; write 1 to 5 or a word"),
        (f"{GRIPS}\n,3,3,3,3\n", "line 2: a plastic needs a name"),
        (f"{GRIPS}\na,3,3,3,3\nA,3,3,3,3\n", "line 3: plastic 'A' is there twice; delete one row"),
        (
            f"{GRIPS},durability\na,3,3,3,3,2\n",
            "line 2: durability of plastic a must be between 0 and 1, but is 2; correct it.",
        ),
        ("plastic,cold dry,cold wet,warm dry\na,3,3,3\n", "line 1: there is no column 'grip hot"),
    ],
)
def test_a_bad_plastic_has_one_sentence(text, sentence, tmp_path):
    read = read_plastics_csv(text, "plastics.csv")
    assert [str(problem).startswith(f"plastics.csv, {sentence}") for problem in read.problems] == [
        True
    ]
    with open_store(tmp_path / "data.sqlite") as store:
        with pytest.raises(InputError, match="Nothing was saved"):
            save_plastics(store, read)
        assert len(store.plastics) == 0


def test_plastics_are_saved(tmp_path):
    read = read_plastics_csv(export_plastics_csv([ex.PLASTIC]), "plastics.csv")
    with open_store(tmp_path / "data.sqlite") as store:
        assert save_plastics(store, read) == 1
        assert store.plastics.all() == [ex.PLASTIC]
