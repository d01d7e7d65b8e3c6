"""Every number that the tool assumes and the owner may change, each with its reason.

None of these was measured; "memory" means from memory and unverified, "common practice"
means what players agree on without a source. They are kept in the data file as soon as the
owner changes one, and every result says which values it was computed with.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import Any

from rimwise.errors import InputError, check_range

__all__ = ["Assumptions", "assumption_table"]


def _assume(default: float, low: float, high: float, unit: str, why: str) -> Any:
    return field(default=default, metadata={"low": low, "high": high, "unit": unit, "why": why})


@dataclass(frozen=True, slots=True)
class Assumptions:
    """The tool's editable assumptions; see each field's ``why``."""

    # -- what the printed numbers are worth -------------------------------------------------
    printed_speed_sd: float = _assume(
        0.6, 0.0, 2.0, "numbers", "printed speed is an opinion without a standard (memory)"
    )
    printed_glide_sd: float = _assume(
        0.6, 0.0, 2.0, "numbers", "printed glide is an opinion without a standard (memory)"
    )
    printed_turn_sd: float = _assume(
        0.5, 0.0, 2.0, "numbers", "runs of one mold differ in turn (memory)"
    )
    printed_fade_sd: float = _assume(
        0.5, 0.0, 2.0, "numbers", "runs of one mold differ in fade (memory)"
    )
    wear_turn: float = _assume(
        1.2, 0.0, 3.0, "numbers", "a beaten-in disc turns this much more (common practice)"
    )
    wear_fade: float = _assume(
        0.9, 0.0, 3.0, "numbers", "a beaten-in disc fades this much less (common practice)"
    )
    # -- the release ------------------------------------------------------------------------
    unpractised_scatter: float = _assume(
        1.5, 1.0, 3.0, "times", "scatter grows by half away from the stock throw (memory)"
    )
    practised_hyzer_deg: float = _assume(
        15.0, 2.0, 60.0, "degrees", "hyzer this far from the stock throw is fully unpractised"
    )
    soft_effort_scatter: float = _assume(
        0.6, 0.2, 1.0, "times", "scatter at the softest effort against full effort (memory)"
    )
    advance_ratio: float = _assume(
        0.45, 0.2, 0.8, "", "rim speed over forward speed at release (memory: 0.40 to 0.50)"
    )
    spin_scatter: float = _assume(0.05, 0.0, 0.3, "fraction", "spread of spin at release (memory)")
    # -- grip -------------------------------------------------------------------------------
    poor_grip_scatter: float = _assume(
        0.8, 0.0, 3.0, "times more", "extra angle scatter at grip 1 against grip 5 (memory)"
    )
    poor_grip_speed_loss: float = _assume(
        0.05, 0.0, 0.3, "fraction", "speed lost at grip 1 against grip 5 (memory)"
    )
    poor_grip_slips: float = _assume(
        0.03, 0.0, 0.5, "chance", "a slip at grip 1: the disc leaves early, weak and wide (memory)"
    )
    cold_below_c: float = _assume(
        12.0, 0.0, 20.0, "°C", "colder air takes the cold grip grades (memory)"
    )
    hot_above_c: float = _assume(
        26.0, 20.0, 40.0, "°C", "warmer air takes the hot and sweaty grip grade (memory)"
    )
    # -- the course -------------------------------------------------------------------------
    penalty_strokes: float = _assume(
        1.0,
        0.0,
        2.0,
        "strokes",
        "water or out of bounds costs this (usual rules; posted rules first)",
    )
    lost_disc_strokes: float = _assume(
        0.10, 0.0, 2.0, "strokes", "what losing a disc of middling cost is worth to you"
    )
    floating_recovery: float = _assume(
        0.8, 0.0, 1.0, "chance", "a floating disc drifts back within reach of the bank (memory)"
    )
    wood_lie_strokes: float = _assume(
        0.35, 0.0, 2.0, "strokes", "extra strokes from a lie among trees (memory)"
    )
    wood_hit_per_m: float = _assume(
        0.02, 0.0, 0.5, "1/m", "chance to hit a stem per metre flown among trees (memory)"
    )
    wood_loss_chance: float = _assume(
        0.01, 0.0, 0.5, "chance", "a disc that ends among trees is not found (memory)"
    )
    wood_canopy_m: float = _assume(
        12.0, 1.0, 60.0, "m", "a disc above this flies over the trees (memory: a guess)"
    )
    wood_lie_effort: float = _assume(
        0.7, 0.4, 1.0, "of full", "most effort from a lie among trees: no run-up (memory)"
    )
    wood_lie_launch_deg: float = _assume(
        10.0, 0.0, 60.0, "degrees", "highest launch from there: branches hang low (memory)"
    )
    rough_loss_chance: float = _assume(
        0.001, 0.0, 0.5, "chance", "a disc off the fairway in the open is not found (memory)"
    )
    wood_stem_m: float = _assume(
        0.25, 0.02, 2.0, "m", "width of a stem, where a wood has its own stems a hectare (memory)"
    )
    thick_loss_chance: float = _assume(
        0.02, 0.0, 0.5, "chance", "a disc in tall grass, heather or bushes is not found (memory)"
    )
    bare_loss: float = _assume(
        0.7, 0.1, 10.0, "times", "lost against green summer when the ground is bare (memory)"
    )
    leaves_loss: float = _assume(
        2.0, 0.1, 10.0, "times", "lost against green summer under fallen leaves (memory)"
    )
    snow_loss: float = _assume(
        3.0, 0.1, 30.0, "times", "lost against green summer in snow: it cuts in (memory)"
    )
    hidden_colour_loss: float = _assume(
        2.0, 1.0, 10.0, "times", "lost when the disc has the colour of the ground (memory)"
    )
    dusk_loss: float = _assume(2.0, 1.0, 10.0, "times", "lost when the light is poor (memory)")
    no_run_up_effort: float = _assume(
        0.7, 0.4, 1.0, "of full", "most effort without a run-up (memory)"
    )
    low_ceiling_launch_deg: float = _assume(
        10.0, 0.0, 60.0, "degrees", "highest launch under a low ceiling (memory)"
    )
    mandatory_strokes: float = _assume(
        1.0,
        0.0,
        2.0,
        "strokes",
        "a mandatory passed on the wrong side costs this, and the throw is made again where the "
        "hole has no drop zone (usual rules, memory; posted rules first)",
    )
    climb_plays: float = _assume(
        3.0, 0.0, 6.0, "times", "a climb plays this much longer (course designers' rule; memory)"
    )
    par_throw_expert_m: float = _assume(
        115.0, 60.0, 180.0, "m", "an expert's throw in course designers' guidance (memory)"
    )
    par_close_expert_m: float = _assume(
        30.0, 0.0, 90.0, "m", "close range, from where an expert needs two throws (memory)"
    )
    par_throw_recreational_m: float = _assume(
        70.0, 30.0, 150.0, "m", "a recreational player's throw in that guidance (memory)"
    )
    par_close_recreational_m: float = _assume(
        22.0, 0.0, 90.0, "m", "close range for a recreational player (memory)"
    )
    wind_roughness_m: float = _assume(
        0.03, 0.0002, 0.1, "m", "roughness of open grass (WMO, Davenport class 'open')"
    )
    shelter_factor: float = _assume(
        1.0, 0.0, 1.5, "times", "wind on the course against the reported wind"
    )

    # -- the cart ---------------------------------------------------------------------------
    cart_stands_deg: float = _assume(
        6.0, 0.0, 30.0, "degrees", "a parked cart should stand this slope (common practice)"
    )
    umbrella_area_m2: float = _assume(
        0.3, 0.05, 3.0, "m²", "what the wind sees of an open umbrella from the side (memory)"
    )
    umbrella_height_m: float = _assume(
        1.5, 0.3, 3.0, "m", "middle of the open umbrella above the ground (memory)"
    )

    # -- the ladders --------------------------------------------------------------------------
    rung_same_m: float = _assume(
        3.0,
        0.5,
        10.0,
        "m",
        "discs that finish this near each other sideways are one rung (a choice)",
    )
    rung_same_reach_m: float = _assume(
        6.0, 1.0, 30.0, "m", "if they go as far to within this (a choice)"
    )
    rung_gap_times: float = _assume(
        2.0, 1.2, 10.0, "times", "a step so many times the usual one lacks a rung (a choice)"
    )

    # -- a disc that is new -------------------------------------------------------------------
    learning_rounds: float = _assume(
        20.0,
        1.0,
        500.0,
        "rounds",
        "what learning a new disc costs is counted over these (a choice)",
    )

    # -- what is not known of the arm, and what evidence is worth ----------------------------
    arm_speed_sd: float = _assume(
        0.06, 0.005, 0.3, "fraction", 'how wrong the speed from "my driver goes 90 m" is (memory)'
    )
    arm_spin_sd: float = _assume(
        0.10, 0.005, 0.4, "fraction", "how far spin strays from the advance ratio (memory)"
    )
    arm_launch_sd: float = _assume(
        1.5, 0.1, 10.0, "degrees", "a habit of throwing higher or lower than meant (memory)"
    )
    arm_hyzer_sd: float = _assume(
        2.5, 0.1, 15.0, "degrees", "a habit of more or less hyzer than meant (memory)"
    )
    arm_nose_sd: float = _assume(
        2.0, 0.1, 10.0, "degrees", "how wrong the mean nose angle is; nobody sees it (memory)"
    )
    arm_heading_sd: float = _assume(
        3.0, 0.1, 15.0, "degrees", "a habit of pulling or pushing, before any throw (memory)"
    )
    cold_arm_sd: float = _assume(
        0.5, 0.0, 2.0, "fraction", "how wrong the speed lost per degree of cold is (memory)"
    )
    wear_rate_sd: float = _assume(
        0.35, 0.0, 1.5, "fraction", "plastics differ in how much a beaten-in disc changes (memory)"
    )
    scatter_weight: float = _assume(
        12.0, 4.0, 200.0, "throws", "what the level's scatter counts for against throws (memory)"
    )
    paced_noise_m: float = _assume(
        1.0, 0.05, 10.0, "m", "error of a landing noted by eye or paces, at any distance (memory)"
    )
    learn_throws: float = _assume(
        60.0,
        10.0,
        1000.0,
        "throws",
        "latest throws of each disc that are learnt from; older ones say little more of it as it "
        "is now, and take time (choice)",
    )
    paced_noise_share: float = _assume(
        0.02, 0.0, 0.2, "fraction", "error of such a note that grows with distance (memory)"
    )
    unknown_wind_share: float = _assume(
        0.015,
        0.0,
        0.1,
        "per m/s",
        "what wind of unknown direction moves, per metre thrown (memory)",
    )
    shank_chance: float = _assume(
        0.05,
        0.001,
        0.5,
        "chance",
        "a throw that says nothing: a shank, a branch, a slip of the pen",
    )
    slightly_deg: float = _assume(
        1.5, 0.1, 10.0, "degrees", "finishes this far apart are felt as slightly more stable"
    )
    plainly_deg: float = _assume(
        6.0, 0.5, 30.0, "degrees", "finishes this far apart are felt as plainly more stable"
    )
    felt_noise_deg: float = _assume(
        3.0, 0.2, 20.0, "degrees", "error of the finish that is felt, per comparison (memory)"
    )
    slightly_m: float = _assume(2.0, 0.1, 20.0, "m", "reach apart that is felt as slightly farther")
    plainly_m: float = _assume(8.0, 0.5, 60.0, "m", "reach apart that is felt as plainly farther")
    felt_noise_m: float = _assume(
        4.0, 0.2, 40.0, "m", "error of the reach that is felt, per comparison (memory)"
    )
    measured_speed_noise: float = _assume(
        0.02, 0.001, 0.3, "fraction", "error of a measured release speed (memory: small devices)"
    )
    measured_spin_noise: float = _assume(
        0.04, 0.001, 0.5, "fraction", "error of a measured spin (memory: small devices)"
    )
    wrong_comparison: float = _assume(
        0.05, 0.001, 0.5, "chance", "a comparison that says nothing: mixed up or misremembered"
    )
    slightly_grip: float = _assume(
        0.25, 0.01, 2.0, "grades", "grip apart that is felt as a slightly better grip (memory)"
    )
    plainly_grip: float = _assume(
        1.0, 0.05, 4.0, "grades", "grip apart that is felt as a plainly better grip (memory)"
    )
    own_grip_sd: float = _assume(
        0.5, 0.05, 2.0, "grades", "discs of one plastic differ in grip (memory: runs differ)"
    )
    grip_grade_noise: float = _assume(
        0.5, 0.05, 2.0, "grades", "error of a grip grade given by hand (memory)"
    )
    new_plastic_grip_sd: float = _assume(
        1.0,
        0.1,
        2.0,
        "grades",
        "how far from middling an undescribed plastic may grip (a choice)",
    )
    new_plastic_shift_sd: float = _assume(
        0.6, 0.0, 2.0, "numbers", "what such a plastic may do to turn and fade together (a choice)"
    )
    # -- putting, before any putt is logged --------------------------------------------------
    putt_sd_spread: float = _assume(
        0.3, 0.02, 1.0, "fraction", "putters of one level differ this much in spread (memory)"
    )
    putt_half_spread: float = _assume(
        0.25, 0.02, 1.0, "fraction", "how wrong the distance is where long putts fall off (memory)"
    )
    putt_wind_deg: float = _assume(
        0.15, 0.001, 2.0, "degrees per m/s", "spread that wind adds to a putt (memory: a guess)"
    )
    putt_wind_spread: float = _assume(
        0.6, 0.02, 2.0, "fraction", "how wrong that guess is (memory)"
    )
    first_putt_m: float = _assume(
        6.0, 1.0, 15.0, "m", "the commonest first putt while nothing is planned (memory)"
    )
    # -- wear ---------------------------------------------------------------------------------
    wear_life_throws: float = _assume(
        1500.0, 50.0, 50000.0, "throws", "wear goes from 0 to 63 % at durability 0.5 (memory)"
    )
    wear_life_range: float = _assume(
        3.0, 1.0, 20.0, "times", "longer at durability 1, shorter at 0 (memory)"
    )
    wear_life_spread: float = _assume(
        0.6, 0.05, 2.0, "fraction", "how wrong that life is for a disc and its fields (memory)"
    )
    wear_knock: float = _assume(
        0.03, 0.001, 0.5, "wear", "what one hard knock does to a new disc (memory)"
    )
    wear_knock_spread: float = _assume(0.8, 0.05, 2.0, "fraction", "how wrong that is (memory)")
    wear_grade_noise: float = _assume(
        0.1, 0.01, 0.5, "wear", "error of a condition grade given by eye (memory)"
    )
    job_lost: float = _assume(
        1.0, 0.2, 3.0, "numbers", "turn and fade lost until a disc is another one (memory)"
    )
    replace_months: float = _assume(
        6.0, 0.5, 36.0, "months", "look for a replacement when a disc lasts no longer (memory)"
    )
    putts_per_hole: float = _assume(
        1.7, 1.0, 3.0, "putts", "of a hole's strokes these are putts, not throws (memory)"
    )

    # -- what words in a log mean -------------------------------------------------------------
    hyzer_word_deg: float = _assume(
        15.0, 3.0, 40.0, "degrees", 'a bare "hyzer" in a log; slight is half, steep twice (memory)'
    )
    low_word_deg: float = _assume(
        6.0, 0.0, 15.0, "degrees", "launch of a throw noted as low (memory)"
    )
    high_word_deg: float = _assume(
        16.0, 8.0, 45.0, "degrees", "launch of a throw noted as high (memory)"
    )
    farthest_throw: float = _assume(
        1.8, 1.1, 4.0, "times", "farther than this past your driver, a noted unit is wrong (memory)"
    )

    def __post_init__(self) -> None:
        for item in fields(self):
            value = getattr(self, item.name)
            check_range(
                f"assumption {item.name}",
                value,
                item.metadata["low"],
                item.metadata["high"],
                item.metadata["unit"],
            )

    def changed(self, name: str, value: float) -> Assumptions:
        """Return a copy with one assumption changed.

        Raises
        ------
        InputError
            When there is no such assumption or the value is outside its range.
        """
        if name not in {item.name for item in fields(self)}:
            raise InputError(f"there is no assumption {name!r}; `rimwise assume` lists them.")
        return replace(self, **{name: float(value)})


def assumption_table(values: Assumptions) -> list[dict[str, object]]:
    """List every assumption with value, default, unit and reason, in order."""
    return [
        {
            "name": item.name,
            "value": getattr(values, item.name),
            "default": item.default,
            "unit": item.metadata["unit"],
            "why": item.metadata["why"],
        }
        for item in fields(values)
    ]
