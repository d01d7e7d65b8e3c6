-- What Rimwise keeps. Units stand in the column names; a column without one is a
-- pure number, a grade or text. Geometry and rarely asked parts are JSON text.

CREATE TABLE molds (
    name TEXT PRIMARY KEY NOT NULL,
    printed_speed REAL NOT NULL,
    printed_glide REAL NOT NULL,
    printed_turn REAL NOT NULL,
    printed_fade REAL NOT NULL,
    maker TEXT NOT NULL,
    diameter_m REAL,
    rim_width_m REAL
) STRICT;

CREATE TABLE plastics (
    name TEXT PRIMARY KEY NOT NULL,
    grip_cold_dry REAL NOT NULL,
    grip_cold_wet REAL NOT NULL,
    grip_warm_dry REAL NOT NULL,
    grip_hot_sweaty REAL NOT NULL,
    durability REAL NOT NULL,
    floats INTEGER NOT NULL CHECK (floats IN (0, 1)),
    stability_shift REAL NOT NULL,
    stability_shift_sd REAL NOT NULL
) STRICT;

-- A weight is either known in grams or known against another disc, never both.
CREATE TABLE discs (
    id TEXT PRIMARY KEY NOT NULL,
    mold TEXT NOT NULL REFERENCES molds (name) DEFERRABLE INITIALLY DEFERRED,
    plastic TEXT NOT NULL REFERENCES plastics (name) DEFERRABLE INITIALLY DEFERRED,
    weight_g REAL,
    weight_against TEXT REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    weight_offset_g REAL,
    weight_sd_g REAL NOT NULL,
    run TEXT NOT NULL,
    colour TEXT NOT NULL,
    mark TEXT NOT NULL,
    wear REAL NOT NULL CHECK (wear BETWEEN 0 AND 1),
    condition TEXT NOT NULL,
    status TEXT NOT NULL,
    cost REAL,
    meaning TEXT NOT NULL,
    own_grip_cold_dry REAL,
    own_grip_cold_wet REAL,
    own_grip_warm_dry REAL,
    own_grip_hot_sweaty REAL,
    note TEXT NOT NULL,
    CHECK ((weight_g IS NULL) = (weight_against IS NOT NULL)),
    CHECK ((weight_against IS NULL) = (weight_offset_g IS NULL)),
    CHECK (weight_against <> id)
) STRICT;

CREATE INDEX discs_by_mold ON discs (mold);
CREATE INDEX discs_by_plastic ON discs (plastic);
CREATE INDEX discs_by_weight_against ON discs (weight_against);

CREATE TABLE throwers (
    name TEXT PRIMARY KEY NOT NULL,
    hand TEXT NOT NULL,
    stock_style TEXT NOT NULL,
    stock_hyzer_deg REAL NOT NULL,
    stock_launch_deg REAL NOT NULL,
    stock_effort REAL NOT NULL,
    cold_arm_comfortable_c REAL NOT NULL,
    cold_arm_loss_per_c REAL NOT NULL,
    cold_arm_most REAL NOT NULL,
    putting_sd_deg REAL NOT NULL
) STRICT;

CREATE TABLE thrower_styles (
    owner TEXT NOT NULL REFERENCES throwers (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    style TEXT NOT NULL,
    fairway_distance_m REAL NOT NULL,
    level TEXT NOT NULL,
    nose_deg REAL NOT NULL,
    heading_bias_deg REAL NOT NULL,
    scatter TEXT CHECK (scatter IS NULL OR json_valid(scatter)),
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE courses (
    name TEXT PRIMARY KEY NOT NULL,
    origin_lat_deg REAL,
    origin_lon_deg REAL,
    bearings_known INTEGER NOT NULL CHECK (bearings_known IN (0, 1)),
    attribution TEXT NOT NULL
) STRICT;

CREATE TABLE course_holes (
    owner TEXT NOT NULL REFERENCES courses (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    ref TEXT NOT NULL,
    tee TEXT NOT NULL CHECK (json_valid(tee)),
    basket TEXT NOT NULL CHECK (json_valid(basket)),
    par INTEGER,
    elevation_change_m REAL NOT NULL,
    played_length_m REAL,
    name TEXT NOT NULL,
    PRIMARY KEY (owner, position),
    UNIQUE (owner, ref)
) STRICT;

CREATE TABLE course_areas (
    owner TEXT NOT NULL REFERENCES courses (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    kind TEXT NOT NULL,
    ring TEXT NOT NULL CHECK (json_valid(ring)),
    openings TEXT NOT NULL CHECK (json_valid(openings)),
    name TEXT NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE conditions (
    name TEXT PRIMARY KEY NOT NULL
) STRICT;

CREATE TABLE condition_days (
    owner TEXT NOT NULL REFERENCES conditions (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    name TEXT NOT NULL,
    weight REAL NOT NULL,
    temperature_c REAL NOT NULL,
    pressure_hpa REAL NOT NULL,
    relative_humidity REAL NOT NULL,
    wind_speed_m_s REAL NOT NULL,
    wind_from_deg REAL NOT NULL,
    gust_m_s REAL,
    wet INTEGER NOT NULL CHECK (wet IN (0, 1)),
    ground TEXT NOT NULL,
    water_recovery REAL NOT NULL,
    source TEXT NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE carts (
    name TEXT PRIMARY KEY NOT NULL,
    mass_kg REAL NOT NULL,
    com_x_m REAL NOT NULL,
    com_z_m REAL NOT NULL,
    wheel_track_m REAL NOT NULL,
    foot_x_m REAL NOT NULL,
    foot_half_width_m REAL NOT NULL
) STRICT;

CREATE TABLE cart_pockets (
    owner TEXT NOT NULL REFERENCES carts (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    name TEXT NOT NULL,
    room INTEGER NOT NULL,
    x_m REAL NOT NULL,
    y_m REAL NOT NULL,
    z_m REAL NOT NULL,
    mass_kg REAL NOT NULL,
    at_hand INTEGER NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE cart_items (
    owner TEXT NOT NULL REFERENCES carts (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    name TEXT NOT NULL,
    mass_kg REAL NOT NULL,
    x_m REAL NOT NULL,
    y_m REAL NOT NULL,
    z_m REAL NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

-- A carry remembers the names it was computed from, even after those are gone.
CREATE TABLE carries (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    "on" TEXT NOT NULL,
    conditions TEXT NOT NULL,
    course TEXT NOT NULL,
    reasons TEXT NOT NULL CHECK (json_valid(reasons)),
    strokes_per_round REAL,
    strokes_se REAL,
    seed INTEGER NOT NULL,
    note TEXT NOT NULL
) STRICT;

CREATE TABLE carry_discs (
    owner INTEGER NOT NULL REFERENCES carries (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE carry_alternates (
    owner INTEGER NOT NULL REFERENCES carries (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE INDEX carry_discs_by_disc ON carry_discs (disc_id);
CREATE INDEX carry_alternates_by_disc ON carry_alternates (disc_id);

CREATE TABLE throws (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    line_style TEXT NOT NULL,
    line_hyzer_deg REAL NOT NULL,
    line_launch_deg REAL NOT NULL,
    line_effort REAL NOT NULL,
    distance_m REAL NOT NULL,
    left_m REAL NOT NULL,
    conditions TEXT NOT NULL,
    first_touch_m REAL,
    speed_m_s REAL,
    spin_rad_s REAL,
    note TEXT NOT NULL
) STRICT;

CREATE INDEX throws_by_disc ON throws (disc_id);

CREATE TABLE comparisons (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    more TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    less TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    quality TEXT NOT NULL,
    plainly INTEGER NOT NULL CHECK (plainly IN (0, 1)),
    note TEXT NOT NULL
) STRICT;

CREATE INDEX comparisons_by_more ON comparisons (more);
CREATE INDEX comparisons_by_less ON comparisons (less);

CREATE TABLE grip_grades (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    air TEXT NOT NULL,
    grade REAL NOT NULL
) STRICT;

CREATE INDEX grip_grades_by_disc ON grip_grades (disc_id);

CREATE TABLE condition_grades (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    wear REAL NOT NULL,
    note TEXT NOT NULL
) STRICT;

CREATE INDEX condition_grades_by_disc ON condition_grades (disc_id);

CREATE TABLE rounds (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    course TEXT NOT NULL REFERENCES courses (name) DEFERRABLE INITIALLY DEFERRED,
    conditions TEXT NOT NULL,
    carry TEXT NOT NULL,
    note TEXT NOT NULL
) STRICT;

CREATE INDEX rounds_by_course ON rounds (course);

CREATE TABLE round_scores (
    owner INTEGER NOT NULL REFERENCES rounds (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    hole TEXT NOT NULL,
    strokes INTEGER NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE putts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    distance_m REAL NOT NULL,
    tried INTEGER NOT NULL,
    made INTEGER NOT NULL,
    conditions TEXT NOT NULL
) STRICT;

CREATE TABLE settings (
    key TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL CHECK (json_valid(value))
) STRICT;
