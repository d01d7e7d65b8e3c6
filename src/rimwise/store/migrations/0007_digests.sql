-- What everything in a table came to when it was last read for a digest: years of throws are read
-- once after each change, not each time that something asks whether anything changed.
-- Whatever writes, be it another program, forgets it and is counted.

CREATE TABLE digests (
    place TEXT PRIMARY KEY NOT NULL,
    writes INTEGER NOT NULL DEFAULT 0,
    digest TEXT
) STRICT;

INSERT INTO digests (place) VALUES ('throws'), ('putts'), ('rounds'), ('round_scores');

CREATE TRIGGER throws_added AFTER INSERT ON throws
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'throws';
END;

CREATE TRIGGER throws_changed AFTER UPDATE ON throws
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'throws';
END;

CREATE TRIGGER throws_gone AFTER DELETE ON throws
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'throws';
END;

CREATE TRIGGER putts_added AFTER INSERT ON putts
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'putts';
END;

CREATE TRIGGER putts_changed AFTER UPDATE ON putts
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'putts';
END;

CREATE TRIGGER putts_gone AFTER DELETE ON putts
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'putts';
END;

CREATE TRIGGER rounds_added AFTER INSERT ON rounds
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'rounds';
END;

CREATE TRIGGER rounds_changed AFTER UPDATE ON rounds
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'rounds';
END;

CREATE TRIGGER rounds_gone AFTER DELETE ON rounds
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'rounds';
END;

CREATE TRIGGER round_scores_added AFTER INSERT ON round_scores
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'round_scores';
END;

CREATE TRIGGER round_scores_changed AFTER UPDATE ON round_scores
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'round_scores';
END;

CREATE TRIGGER round_scores_gone AFTER DELETE ON round_scores
BEGIN
    UPDATE digests SET writes = writes + 1, digest = NULL WHERE place = 'round_scores';
END;
