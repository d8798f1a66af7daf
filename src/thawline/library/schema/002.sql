-- Layout 2. Figures that were derived from recordings, kept so that each is looked through once.
-- All of it can be made again: a row by another version counts as none.
CREATE TABLE figures (
    recording_id TEXT PRIMARY KEY REFERENCES recordings (id) ON DELETE CASCADE,
    made_by      TEXT NOT NULL, -- version of the code that made it
    told         TEXT NOT NULL, -- all figures, as JSON
    outside_degC REAL,          -- [degC]
    supply_kW    REAL,          -- most that the supply gave [kW]
    plugged_in   INTEGER NOT NULL,
    findings     TEXT NOT NULL  -- kinds, each between two spaces
) STRICT;
