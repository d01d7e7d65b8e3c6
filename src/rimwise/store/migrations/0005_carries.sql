-- What rides along with a carry besides discs, and what to take for its weather.

CREATE TABLE carry_items (
    owner INTEGER NOT NULL REFERENCES carries (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    name TEXT NOT NULL,
    mass_kg REAL NOT NULL,
    x_m REAL NOT NULL,
    y_m REAL NOT NULL,
    z_m REAL NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE carry_take (
    owner INTEGER NOT NULL REFERENCES carries (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    thing TEXT NOT NULL,
    PRIMARY KEY (owner, position)
) STRICT;
