-- v2 -> v3: What stands under a question to be tapped

-- Empty: it isn't known to have arrived.
ALTER TABLE sealed ADD COLUMN event TEXT NOT NULL DEFAULT '';
ALTER TABLE sealed DROP COLUMN arrived;

CREATE TABLE offered (
    event TEXT NOT NULL,
    sign  TEXT NOT NULL,
    room  TEXT NOT NULL,
    reply TEXT NOT NULL,    -- the key of the reply whose question this is
    at    INTEGER NOT NULL, -- microseconds since 1970, UTC
    PRIMARY KEY (event, sign)
) STRICT, WITHOUT ROWID;
