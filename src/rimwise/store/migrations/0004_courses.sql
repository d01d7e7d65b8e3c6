-- What a course asks beyond tee, basket and areas: woods of their own, shelter by hole, marks to
-- pass on one side, drop zones; what hides a disc; and what a course was before it was changed.

ALTER TABLE course_areas ADD COLUMN stems_per_ha REAL;
ALTER TABLE course_areas ADD COLUMN canopy_m REAL;
ALTER TABLE course_areas ADD COLUMN drawn INTEGER NOT NULL DEFAULT 0 CHECK (drawn IN (0, 1));

ALTER TABLE course_holes ADD COLUMN shelter REAL;

ALTER TABLE condition_days ADD COLUMN cover TEXT NOT NULL DEFAULT 'green';
ALTER TABLE condition_days ADD COLUMN dusk INTEGER NOT NULL DEFAULT 0 CHECK (dusk IN (0, 1));

CREATE TABLE course_mandatories (
    owner TEXT NOT NULL REFERENCES courses (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    hole TEXT NOT NULL,
    at TEXT NOT NULL CHECK (json_valid(at)),
    side TEXT NOT NULL,
    name TEXT NOT NULL,
    drawn INTEGER NOT NULL CHECK (drawn IN (0, 1)),
    PRIMARY KEY (owner, position)
) STRICT;

CREATE TABLE course_drop_zones (
    owner TEXT NOT NULL REFERENCES courses (name) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    hole TEXT NOT NULL,
    at TEXT NOT NULL CHECK (json_valid(at)),
    after TEXT NOT NULL,
    name TEXT NOT NULL,
    drawn INTEGER NOT NULL CHECK (drawn IN (0, 1)),
    PRIMARY KEY (owner, position)
) STRICT;

-- The course as it was before a change, as JSON, newest last. It is named, not referenced, so
-- that a course deleted by mistake can come back.
CREATE TABLE course_journal (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    course TEXT NOT NULL,
    at TEXT NOT NULL,
    what TEXT NOT NULL,
    record TEXT NOT NULL CHECK (json_valid(record))
) STRICT;

CREATE INDEX course_journal_by_course ON course_journal (course);
