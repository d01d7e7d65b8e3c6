-- What was computed and told, kept so that every face shows the same: the plan of a carry,
-- the swap list of a season. Recomputed whole, never edited.

CREATE TABLE reports (
    key TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL CHECK (json_valid(value))
) STRICT;
