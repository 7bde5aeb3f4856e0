-- v24 -> v25: By which day an item's readings would have it measured again

-- day: empty, nothing is foretold any more.
CREATE TABLE foretold(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, inspection TEXT NOT NULL, day TEXT NOT NULL, place TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
