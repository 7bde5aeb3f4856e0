-- v0 -> v1: The journal, messages in transit and half-typed forms

-- Times are microseconds since 1970, UTC.

CREATE TABLE journal (
    seq     INTEGER PRIMARY KEY AUTOINCREMENT, -- so that SQLite remembers the last one, should the end be cut off
    at      INTEGER NOT NULL,
    room    TEXT NOT NULL,
    subject TEXT NOT NULL,
    kind    TEXT NOT NULL,
    by_whom TEXT NOT NULL,
    cause   TEXT NOT NULL,
    body    BLOB NOT NULL,
    hash    BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;

CREATE INDEX journal_subject ON journal (subject, seq);

CREATE TRIGGER journal_grows_by_one BEFORE INSERT ON journal
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM journal)
BEGIN SELECT raise(ABORT, 'the journal grows by one entry at a time'); END;

CREATE TRIGGER journal_is_never_changed BEFORE UPDATE ON journal
BEGIN SELECT raise(ABORT, 'an entry in the journal is never changed'); END;

CREATE TRIGGER journal_is_never_shortened BEFORE DELETE ON journal
BEGIN SELECT raise(ABORT, 'an entry in the journal is never deleted'); END;

CREATE TABLE inbox (
    n         INTEGER PRIMARY KEY, -- the order of arrival
    id        TEXT NOT NULL UNIQUE,
    transport TEXT NOT NULL,
    room      TEXT NOT NULL,
    at        INTEGER NOT NULL,
    body      BLOB,                -- null once swept
    state     TEXT NOT NULL DEFAULT 'new' CHECK (state IN ('new', 'done', 'refused', 'aside')),
    tries     INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE INDEX inbox_kept ON inbox (state, transport, n) WHERE body IS NOT NULL;

CREATE TABLE position (
    transport TEXT PRIMARY KEY,
    value     TEXT NOT NULL
) STRICT;

CREATE TABLE outbox (
    n     INTEGER PRIMARY KEY, -- the order of sending
    key   TEXT NOT NULL UNIQUE,
    cause TEXT NOT NULL,
    room  TEXT NOT NULL,
    body  BLOB,                -- null once swept
    at    INTEGER NOT NULL,
    sent  INTEGER              -- null until delivered
) STRICT;

CREATE INDEX outbox_kept ON outbox (sent, n) WHERE body IS NOT NULL;

CREATE TABLE dialogue (
    room   TEXT NOT NULL,
    person TEXT NOT NULL,
    thread TEXT NOT NULL,
    kind   TEXT NOT NULL,
    body   BLOB NOT NULL,
    PRIMARY KEY (room, person, thread)
) STRICT, WITHOUT ROWID;
