-- Evidence in the forms owners have it: weather noted with a throw, two discs about the same,
-- knocks, and a journal that keeps what was edited or deleted.

ALTER TABLE throws ADD COLUMN weather_temperature_c REAL;
ALTER TABLE throws ADD COLUMN weather_wind_m_s REAL;
ALTER TABLE throws ADD COLUMN weather_wind_from_deg REAL;
ALTER TABLE throws ADD COLUMN weather_wet INTEGER CHECK (weather_wet IN (0, 1));
ALTER TABLE throws ADD COLUMN weather_ground TEXT;

ALTER TABLE rounds ADD COLUMN weather_temperature_c REAL;
ALTER TABLE rounds ADD COLUMN weather_wind_m_s REAL;
ALTER TABLE rounds ADD COLUMN weather_wind_from_deg REAL;
ALTER TABLE rounds ADD COLUMN weather_wet INTEGER CHECK (weather_wet IN (0, 1));
ALTER TABLE rounds ADD COLUMN weather_ground TEXT;

ALTER TABLE putts ADD COLUMN weather_temperature_c REAL;
ALTER TABLE putts ADD COLUMN weather_wind_m_s REAL;
ALTER TABLE putts ADD COLUMN weather_wind_from_deg REAL;
ALTER TABLE putts ADD COLUMN weather_wet INTEGER CHECK (weather_wet IN (0, 1));
ALTER TABLE putts ADD COLUMN weather_ground TEXT;

ALTER TABLE comparisons ADD COLUMN alike INTEGER NOT NULL DEFAULT 0 CHECK (alike IN (0, 1));

CREATE TABLE knocks (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    "on" TEXT NOT NULL,
    disc_id TEXT NOT NULL REFERENCES discs (id) DEFERRABLE INITIALLY DEFERRED,
    what TEXT NOT NULL,
    hard INTEGER NOT NULL CHECK (hard IN (0, 1)),
    note TEXT NOT NULL
) STRICT;

CREATE INDEX knocks_by_disc ON knocks (disc_id);

-- The record as it was before an edit or a deletion. It is JSON, so that it can still be read
-- when later versions have given the record more fields.
CREATE TABLE evidence_journal (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kind TEXT NOT NULL,
    number INTEGER NOT NULL,
    at TEXT NOT NULL,
    action TEXT NOT NULL CHECK (action IN ('edited', 'deleted', 'restored')),
    record TEXT NOT NULL CHECK (json_valid(record))
) STRICT;

CREATE INDEX evidence_journal_by_record ON evidence_journal (kind, number);
