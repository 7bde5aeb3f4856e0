-- v0 -> v1: One login, and what is on its way out and in with it

CREATE TABLE setting (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- A room whose state was fetched whole. Encrypted is never taken back.
CREATE TABLE room (
    id        TEXT PRIMARY KEY,
    known     INTEGER NOT NULL DEFAULT 0,
    encrypted INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE invitation (
    room    TEXT PRIMARY KEY,
    by_whom TEXT NOT NULL
) STRICT;

CREATE TABLE direct (
    person TEXT PRIMARY KEY,
    room   TEXT NOT NULL
) STRICT;

-- What was sealed for sending and isn't known to have arrived. Arrived: it came back with a sync.
CREATE TABLE sealed (
    txn     TEXT PRIMARY KEY,
    type    TEXT NOT NULL,
    content BLOB NOT NULL,
    arrived INTEGER NOT NULL DEFAULT 0
) STRICT;

-- Messages that can't be read yet, in order of arrival.
CREATE TABLE unread (
    n         INTEGER PRIMARY KEY,
    event     TEXT NOT NULL UNIQUE,
    room      TEXT NOT NULL,
    sender    TEXT NOT NULL,
    at        INTEGER NOT NULL, -- microseconds since 1970, UTC, when it arrived
    body      BLOB NOT NULL,
    told      INTEGER NOT NULL DEFAULT 0,
    overtaken INTEGER NOT NULL DEFAULT 0
) STRICT;
