"""Which published value is used by which test, or refused, and why.

Every value of every table in ``authorities`` must be claimed here by an entry;
``test_reference_values.py`` checks it, and ``docs/validation.md`` shows this register
(``python tests/validation/flight/authority_register.py`` prints it as Markdown).
"""

from __future__ import annotations

from dataclasses import dataclass

ALL = ()


@dataclass(frozen=True)
class Claim:
    """Some values of one table, and what became of them.

    ``rows`` are values of the table's naming column, ``columns`` names in the header; empty
    means all. Either ``used_by`` names tests as ``path::function`` below ``tests``, or
    ``refused`` says why not.
    """

    table: str
    rows: tuple[str, ...] = ALL
    columns: tuple[str, ...] = ALL
    used_by: tuple[str, ...] = ()
    refused: str = ""


#: Columns that name a row (the first), or say where it comes from: no values. A row of a table
#: whose first label is no name goes by its first column.
LABELS = {
    "air_density": ("status",),
    "coefficient_sets": ("set", "source", "status"),
    "disc_dimensions": ("class",),
    "metar": ("report",),
    "openstreetmap_tags": ("tag",),
    "putting": ("group", "status"),
    "release_defaults": ("level",),
    "standard_atmosphere": ("status",),
    "technical_standards": ("item", "unit"),
    "terrain_roughness": ("terrain", "source"),
    "trade_rules": ("rule", "kind"),
    "trajectories": ("case",),
    "wind_tunnel_disc": ("quantity",),
}

AIR = "validation/flight/test_air_and_wind.py"
DISCS = "validation/flight/test_discs_in_flight.py"
HERE = "validation/flight/test_reference_values.py"
PUTTING = "validation/test_putting_published.py"
FITTED = "validation/test_putting_fit_oracles.py"
CART = "validation/test_cart_statics.py"
STROKES = "validation/test_strokes.py"
OSM = "unit/course/test_osm.py"

REGISTER = (
    Claim("air_density", used_by=(f"{AIR}::test_density_is_cipm_2007",)),
    Claim(
        "standard_atmosphere",
        used_by=(
            f"{AIR}::test_standard_atmosphere_is_iso_2533",
            f"{AIR}::test_station_pressure_inverts_the_standard_atmosphere",
        ),
    ),
    Claim(
        "metar",
        used_by=(
            f"{AIR}::test_weather_reports_are_read_as_decoded",
            "validation/store/test_metar_days.py::test_a_line_becomes_the_decoded_day",
        ),
    ),
    Claim(
        "terrain_roughness",
        columns=("z0_m",),
        used_by=(f"{AIR}::test_roughness_lengths_are_the_published_classes",),
    ),
    Claim(
        "terrain_roughness",
        columns=("zmin_m",),
        used_by=(f"{HERE}::test_rough_terrain_is_doubted_where_the_standard_has_no_profile",),
    ),
    Claim(
        "wind_tunnel_disc",
        used_by=(
            f"{DISCS}::test_rigid_body_flies_the_wind_tunnel_trajectory",
            f"{DISCS}::test_wind_tunnel_table_has_the_facts_its_authors_state",
            f"{HERE}::test_published_curves_differ_as_far_as_stated",
        ),
    ),
    Claim("trajectories", used_by=(f"{DISCS}::test_rigid_body_flies_the_wind_tunnel_trajectory",)),
    Claim(
        "coefficient_sets",
        used_by=(
            f"{DISCS}::test_published_coefficients_fly_like_a_catch_disc",
            f"{HERE}::test_published_curves_differ_as_far_as_stated",
            f"{HERE}::test_published_sets_fly_as_differently_as_stated",
        ),
    ),
    Claim(
        "disc_dimensions",
        columns=("rim_width_cm",),
        used_by=(f"{DISCS}::test_assumed_rims_fall_in_the_measured_classes",),
    ),
    Claim(
        "disc_dimensions",
        columns=("diameter_cm", "height_cm", "rim_depth_cm", "inside_rim_diameter_cm"),
        used_by=(f"{HERE}::test_assumed_shape_lies_among_the_measured_ones",),
    ),
    Claim(
        "disc_dimensions",
        columns=("n",),
        refused="how many discs a class has says nothing about one of them",
    ),
    Claim(
        "technical_standards",
        rows=(
            "outside diameter minimum", "outside diameter maximum", "weight per diameter maximum",
            "rim width maximum", "inside rim diameter minimum",
        ),
        used_by=(f"{DISCS}::test_assumed_dimensions_meet_the_technical_standards",),
    ),
    Claim(
        "technical_standards",
        rows=(
            "weight maximum", "rim depth minimum", "rim depth to diameter minimum",
            "rim depth to diameter maximum", "flight plate thickness maximum",
        ),
        used_by=(f"{HERE}::test_assumed_shape_meets_the_other_technical_standards",),
    ),
    Claim(
        "technical_standards",
        rows=("leading edge radius gauge",),
        refused="the model has no nose shape; its effect is in the coefficients",
    ),
    Claim(
        "technical_standards",
        rows=("rim configuration minimum",),
        refused="a rating by a gauge whose formula was not found; bluntness follows rim width",
    ),
    Claim(
        "technical_standards",
        rows=("flexibility maximum",),
        refused="the flying disc is rigid, and nothing relates the gauge to flight",
    ),
    Claim(
        "trade_rules",
        rows=(
            "headwind_turns", "tailwind_drops", "faster_turns", "slower_fades", "lighter_turns",
            "altitude_stable", "hyzer_flip", "distance_per_speed", "fast_needs_arm",
            "driver_stays_up", "distance_skips_more", "soft_touch_rests", "wear_turns",
            "firm_more_stable", "overstable_holds", "light_floater_stands_up",
        ),
        used_by=("validation/flight/test_trade_rules.py::test_rule_comes_out",),
    ),
    Claim(
        "trade_rules",
        rows=("wind_in_face",),
        used_by=(f"{STROKES}::test_wind_in_the_face_asks_for_no_less_stable_a_disc",),
    ),
    Claim(
        "trade_rules",
        rows=("colder_grips",),
        used_by=(f"{STROKES}::test_colder_or_wetter_the_carry_is_not_less_grippy",),
    ),
    Claim(
        "trade_rules",
        rows=("water_floats",),
        used_by=(f"{STROKES}::test_beside_water_the_floating_or_the_cheaper_of_two_equal_discs",),
    ),
    Claim(
        "trade_rules",
        rows=("turnover_worn",),
        used_by=(f"{STROKES}::test_around_a_bend_to_the_turn_side_the_worn_disc",),
    ),
    Claim(
        "trade_rules",
        rows=("high_load_tips",),
        used_by=(
            f"{CART}::test_weight_moved_into_a_high_pouch_falls_backward_sooner",
        ),
    ),
    Claim(
        "putting",
        rows=("top men", "top women"),
        used_by=(
            f"{PUTTING}::test_published_make_rate",
            f"{PUTTING}::test_the_constants_are_the_fit_that_they_say_they_are",
            f"{FITTED}::test_published_rates_give_back_the_published_accuracy",
        ),
    ),
    Claim(
        "putting",
        rows=("weekly league amateur (2.2 deg)", "occasional player (3 deg)"),
        refused="from memory: an assumption the user can change, never a target",
    ),
    Claim(
        "release_defaults",
        columns=("backhand_speed_m_s", "spin_rpm"),
        used_by=(f"{HERE}::test_default_releases_are_the_assumed_ones",),
    ),
    Claim(
        "release_defaults",
        columns=(
            "sd_speed_fraction", "sd_launch_deg", "sd_hyzer_deg", "sd_nose_deg", "sd_heading_deg",
        ),
        used_by=(f"{HERE}::test_default_scatter_is_the_assumed_one",),
    ),
    Claim(
        "release_defaults",
        columns=("range_m",),
        refused="the rule of thumb of trade_rules' distance_per_speed written out, and from "
        "memory; that rule is tried over many discs instead",
    ),
    Claim(
        "openstreetmap_tags",
        rows=("leisure=disc_golf_course",),
        used_by=(f"{OSM}::test_the_file_names_the_course",),
    ),
    Claim(
        "openstreetmap_tags",
        rows=("disc_golf=hole",),
        used_by=(
            f"{OSM}::test_a_hole_runs_from_its_tee_to_its_basket",
            f"{OSM}::test_posted_lengths",
        ),
    ),
    Claim(
        "openstreetmap_tags",
        rows=("disc_golf=tee", "disc_golf=basket"),
        used_by=(f"{OSM}::test_tee_and_basket_of_one_number_make_a_hole_without_a_way",),
    ),
    Claim(
        "openstreetmap_tags",
        rows=(
            "disc_golf=fairway", "disc_golf=out_of_bounds", "natural=water",
            "natural=wood, landuse=forest",
        ),
        used_by=(f"{OSM}::test_closed_ways_become_areas",),
    ),
    Claim(
        "openstreetmap_tags",
        rows=("disc_golf=mando", "disc_golf=drop_zone"),
        used_by=(f"{OSM}::test_mandatories_and_drop_zones_are_read",),
    ),
    Claim(
        "openstreetmap_tags",
        rows=("type=disc_golf_course",),
        used_by=(f"{OSM}::test_a_course_relation_gives_the_name",),
    ),
)  # fmt: skip


def as_markdown() -> str:
    """Return the register as the table of ``docs/validation.md``."""
    lines = ["| table | rows | columns | used by, or refused because |", "|---|---|---|---|"]
    for claim in REGISTER:
        fate = ", ".join(f"`{name}`" for name in claim.used_by)
        lines.append(
            f"| {claim.table} | {', '.join(claim.rows) or 'all'} "
            f"| {', '.join(claim.columns) or 'all'} "
            f"| {fate or f'**refused**: {claim.refused}'} |"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    print(as_markdown())  # noqa: T201
