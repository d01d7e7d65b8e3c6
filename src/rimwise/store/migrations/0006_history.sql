-- What every change of a record did and when: one step for what was saved together, and in it one
-- line for each record with what it was before. Nothing here is ever rewritten; only a purge that
-- its owner asked for forgets.

CREATE TABLE steps (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    undoes INTEGER
) STRICT;

CREATE TABLE changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    step INTEGER NOT NULL REFERENCES steps (id),
    place TEXT NOT NULL,
    key TEXT NOT NULL,
    action TEXT NOT NULL CHECK (action IN ('added', 'changed', 'deleted')),
    before TEXT CHECK (before IS NULL OR json_valid(before))
) STRICT;

CREATE INDEX changes_by_step ON changes (step);
CREATE INDEX changes_by_record ON changes (place, key);

CREATE TRIGGER steps_stay BEFORE UPDATE ON steps
BEGIN
    SELECT raise(ABORT, 'history is not rewritten');
END;

CREATE TRIGGER changes_stay BEFORE UPDATE ON changes
BEGIN
    SELECT raise(ABORT, 'history is not rewritten');
END;

-- A list of evidence asks for its newest days first.
CREATE INDEX throws_by_day ON throws ("on");
CREATE INDEX rounds_by_day ON rounds ("on");
CREATE INDEX putts_by_day ON putts ("on");
CREATE INDEX comparisons_by_day ON comparisons ("on");
