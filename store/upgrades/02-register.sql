-- v1 -> v2: The register and the scripts that inspections followed

CREATE TABLE team(room TEXT PRIMARY KEY, name TEXT NOT NULL, zone TEXT NOT NULL) STRICT;
CREATE TABLE person(room TEXT NOT NULL, id TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY(room, id)) STRICT;
CREATE TABLE sheet(room TEXT NOT NULL, maker TEXT NOT NULL COLLATE NOCASE, model TEXT NOT NULL COLLATE NOCASE, body TEXT NOT NULL, PRIMARY KEY(room, maker, model)) STRICT;
CREATE TABLE instrument(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, body TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT;
CREATE TABLE item(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, flow TEXT NOT NULL, maker TEXT NOT NULL, model TEXT NOT NULL, serial TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT;
CREATE INDEX item_serial ON item(room, serial);
CREATE TABLE hold(n INTEGER PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, verdict TEXT NOT NULL, why TEXT NOT NULL, by TEXT NOT NULL, at INTEGER NOT NULL, inspection TEXT NOT NULL, released INTEGER, moved INTEGER NOT NULL DEFAULT 0) STRICT;
CREATE INDEX hold_item ON hold(room, mark);
CREATE TABLE inspection(id TEXT PRIMARY KEY, seq INTEGER NOT NULL, room TEXT NOT NULL, thread TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, flow TEXT NOT NULL, inspector TEXT NOT NULL, state TEXT NOT NULL, started INTEGER NOT NULL, touched INTEGER NOT NULL, number TEXT NOT NULL DEFAULT '', day TEXT NOT NULL DEFAULT '', verdict TEXT NOT NULL DEFAULT 'incomplete', signer TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX inspection_item ON inspection(room, mark);
CREATE INDEX inspection_open ON inspection(room, state);
CREATE INDEX inspection_thread ON inspection(room, thread);
CREATE TABLE flow(hash TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT;
CREATE INDEX journal_cause ON journal(cause);
-- How somebody works: since when without a rest, and the last digits of their readings since the keeper was last told.
CREATE TABLE bench(room TEXT NOT NULL, person TEXT NOT NULL, since INTEGER NOT NULL, last INTEGER NOT NULL, digits TEXT NOT NULL DEFAULT '', PRIMARY KEY(room, person)) STRICT;
