"""Discs as arrays: weights, wear, plastic, grip, and draws that others do not disturb."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.beliefs.fleet import AIR_KINDS, MOLD_SHARE, build_fleet, resolve_weight
from rimwise.errors import InputError, NotFoundError
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Disc, Grip, Mold, OwnGrip, Plastic, Weight, WeightRelativeTo

ASSUME = Assumptions()
MOLDS = {
    "NH 27": Mold("NH 27", Printed(7.0, 5.0, -1.0, 2.0)),
    "OL 340": Mold("OL 340", Printed(3.0, 3.0, 0.0, 1.0), diameter_m=0.211, rim_width_m=0.010),
}
PLASTICS = {
    "soft base": Plastic("soft base", Grip(3, 2, 4, 3), stability_shift_sd=0.0),
    "clear premium": Plastic(
        "clear premium", Grip(2, 1, 4, 2), stability_shift=0.4, stability_shift_sd=0.0
    ),
    "light floating": Plastic("light floating", Grip(4, 3, 4, 3), floats=True),
}


def disc(name: str, mold: str = "NH 27", plastic: str = "soft base", **more: object) -> Disc:
    return Disc(name, mold, plastic, **({"weight": Weight(172.0)} | more))  # type: ignore[arg-type]


def fleet_of(*discs: Disc):  # type: ignore[no-untyped-def]
    return build_fleet(discs, MOLDS, PLASTICS, ASSUME)


def test_relative_weights_add_up_along_the_chain() -> None:
    chain = {
        "a": disc("a", weight=Weight(170.0, 1.0)),
        "b": disc("b", weight=WeightRelativeTo("a", -5.0, 2.0)),
        "c": disc("c", weight=WeightRelativeTo("b", 3.0, 2.0)),
    }
    assert resolve_weight(chain["c"], chain) == (168.0, 3.0)  # sd: √(1 + 4 + 4)


def test_a_weight_against_a_disc_at_home_is_resolved_from_all_discs() -> None:
    home = disc("home", weight=Weight(170.0))
    here = disc("here", weight=WeightRelativeTo("home", 5.0))
    fleet = build_fleet([here], MOLDS, PLASTICS, ASSUME, everything=[home, here])
    assert fleet.mass_kg[0] == pytest.approx(0.175)


@pytest.mark.parametrize(
    ("weights", "sentence"),
    [
        ({"a": WeightRelativeTo("a", 1.0)}, "leads back to itself"),
        (
            {"a": WeightRelativeTo("b", 1.0), "b": WeightRelativeTo("a", 1.0)},
            "a → b → a.*weigh one of them",
        ),
        ({"a": WeightRelativeTo("gone", 1.0)}, "relative to 'gone'.*not among your discs"),
        (
            {"a": WeightRelativeTo("b", 90.0), "b": Weight(175.0)},
            "weight of a must be between 60 and 200 g, but is 265 g",
        ),
    ],
)
def test_weights_that_lead_nowhere_are_told(weights: dict[str, object], sentence: str) -> None:
    discs = {name: disc(name, weight=weight) for name, weight in weights.items()}
    with pytest.raises(InputError, match=sentence):
        resolve_weight(discs["a"], discs)


@pytest.mark.parametrize(
    ("one", "sentence"),
    [
        (disc("a", mold="XX 1"), "mold 'XX 1' is not in the records"),
        (disc("a", plastic="glass"), "plastic 'glass' is not in the records"),
    ],
)
def test_a_missing_mold_or_plastic_is_told(one: Disc, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        fleet_of(one)


def test_no_disc_and_an_unknown_disc_are_told() -> None:
    with pytest.raises(InputError, match="no disc to choose from"):
        build_fleet([], MOLDS, PLASTICS, ASSUME)
    with pytest.raises(NotFoundError, match="no disc named 'b'"):
        fleet_of(disc("a")).index("b")


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_wear_moves_toward_understable(one: float, other: float) -> None:
    fresh, worn = sorted((one, other))
    numbers = fleet_of(disc("a", wear=fresh), disc("b", wear=worn)).printed
    assert np.array_equal(numbers[0, :2], numbers[1, :2])
    assert numbers[1, 2] <= numbers[0, 2]
    assert numbers[1, 3] <= numbers[0, 3]


def test_wear_and_plastic_by_hand() -> None:
    new, worn, firm = fleet_of(
        disc("a"), disc("b", wear=0.5), disc("c", plastic="clear premium")
    ).printed
    assert new.tolist() == [7.0, 5.0, -1.0, 2.0]
    assert worn[2:] == pytest.approx([-1.0 - 0.5 * ASSUME.wear_turn, 2.0 - 0.5 * ASSUME.wear_fade])
    assert firm[2:] == pytest.approx([-0.8, 2.2])  # half of the shift each


def test_own_grip_stands_over_the_plastics() -> None:
    fleet = fleet_of(disc("a"), disc("b", own_grip=OwnGrip(cold_wet=5.0)))
    assert AIR_KINDS == ("cold-dry", "cold-wet", "warm-dry", "hot-sweaty")
    assert fleet.grip.tolist() == [[3.0, 2.0, 4.0, 3.0], [3.0, 5.0, 4.0, 3.0]]


def test_size_floating_and_cost() -> None:
    fleet = fleet_of(
        disc("a", cost=10.0),
        disc("b", mold="OL 340", plastic="light floating", cost=30.0),
        disc("c"),
        disc("d", cost=0.0),
    )
    assert np.isnan(fleet.rim_width_m[0])
    assert (fleet.diameter_m[1], fleet.rim_width_m[1]) == (0.211, 0.010)
    assert fleet.floats.tolist() == [False, True, False, False]
    assert fleet.relative_cost.tolist() == [0.5, 1.5, 1.0, 0.0]


def test_draws_do_not_depend_on_other_discs() -> None:
    a, b, c = disc("a"), disc("b", mold="OL 340"), disc("c", plastic="light floating")
    alone, together = fleet_of(b), fleet_of(c, a, b)
    assert np.array_equal(alone.sample_printed(8, 3)[0], together.sample_printed(8, 3)[2])
    assert np.array_equal(alone.sample_mass_kg(8, 3)[0], together.sample_mass_kg(8, 3)[2])
    kept = together.subset([2, 0])
    assert kept.ids == ("b", "c")
    assert np.array_equal(kept.sample_printed(8, 3), together.sample_printed(8, 3)[[2, 0]])


def test_draw_sets_and_seeds_are_independent() -> None:
    fleet = fleet_of(disc("a"))
    draws = [
        fleet.sample_printed(4000, seed, part)[0, :, 2] for seed, part in [(1, 1), (1, 2), (2, 1)]
    ]
    off_diagonal = np.corrcoef(draws)[np.triu_indices(3, 1)]
    assert np.abs(off_diagonal).max() < 4.0 / np.sqrt(4000)


def test_discs_of_one_mold_share_what_is_not_known_of_it() -> None:
    samples = 6000
    fleet = fleet_of(disc("a"), disc("b"), disc("c", mold="OL 340"))
    off = fleet.sample_printed(samples, 7) - fleet.printed[:, None]
    assert off.std(axis=1) == pytest.approx(np.tile(fleet.printed_sd, (3, 1)), rel=0.05)
    assert np.abs(off.mean(axis=1)).max() < 0.04
    for number in range(4):
        together = np.corrcoef(off[:, :, number])
        assert together[0, 1] == pytest.approx(MOLD_SHARE, abs=0.04)
        assert abs(together[0, 2]) < 0.05


def test_discs_of_one_plastic_share_its_shift() -> None:
    sure = Assumptions(printed_turn_sd=0.0, printed_fade_sd=0.0)
    discs = [disc("a", plastic="light floating"), disc("b", "OL 340", "light floating")]
    fleet = build_fleet(discs, MOLDS, PLASTICS, sure)
    off = fleet.sample_printed(500, 7)[:, :, 2:] - fleet.printed[:, None, 2:]
    assert off.std() == pytest.approx(0.15, rel=0.15)  # half of the shift's 0.3 each
    assert off[0] == pytest.approx(off[1])
    assert off[..., 0] == pytest.approx(off[..., 1])


def test_masses_spread_as_stated_and_never_past_three_deviations() -> None:
    fleet = fleet_of(disc("a", weight=Weight(170.0, 2.0)))
    grams = fleet.sample_mass_kg(4000, 1)[0] * 1000.0
    assert grams.mean() == pytest.approx(170.0, abs=0.15)
    assert grams.std() == pytest.approx(2.0, rel=0.05)
    assert np.abs(grams - 170.0).max() <= 6.0 + 1e-9
