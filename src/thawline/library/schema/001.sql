-- Layout 1. The samples, and all that a recording says of itself, lie in its own folder;
-- this catalogue is the index of them, and the only place where notes are kept.
CREATE TABLE recordings (
    id              TEXT PRIMARY KEY,
    content_key     TEXT NOT NULL UNIQUE,
    folder          TEXT NOT NULL UNIQUE,
    vehicle         TEXT NOT NULL,
    starts_at       REAL NOT NULL, -- [s] since 1970-01-01 UTC
    duration_s      REAL NOT NULL,
    frames          INTEGER NOT NULL,
    frames_left_out INTEGER NOT NULL,
    channels        INTEGER NOT NULL,
    samples         INTEGER NOT NULL,
    added_at        REAL NOT NULL  -- [s] since 1970-01-01 UTC
) STRICT;

CREATE INDEX recordings_by_start ON recordings (starts_at, id);

CREATE TABLE notes (
    number       INTEGER PRIMARY KEY,
    recording_id TEXT NOT NULL REFERENCES recordings (id) ON DELETE CASCADE,
    at_s         REAL,
    text         TEXT NOT NULL,
    written_at   REAL NOT NULL     -- [s] since 1970-01-01 UTC
) STRICT;

CREATE INDEX notes_by_recording ON notes (recording_id, number);
