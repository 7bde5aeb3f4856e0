-- v25 -> v26: What an inspection's steps were measured at, for what looks through many of them

-- readings: as a JSON list, in the order in which they were taken.
CREATE TABLE reading(inspection TEXT NOT NULL, step TEXT NOT NULL, readings TEXT NOT NULL, PRIMARY KEY(inspection, step)) STRICT, WITHOUT ROWID;
