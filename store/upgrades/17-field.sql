-- v16 -> v17: What a hold comes from, kit without a mark, calls for inspection, incidents, notices, destruction

ALTER TABLE hold ADD COLUMN source TEXT NOT NULL DEFAULT '';
ALTER TABLE hold ADD COLUMN rule TEXT NOT NULL DEFAULT '';
ALTER TABLE hold ADD COLUMN about INTEGER NOT NULL DEFAULT 0;
ALTER TABLE hold ADD COLUMN place TEXT NOT NULL DEFAULT '';
UPDATE hold SET rule = coalesce((SELECT json_extract(CAST(body AS TEXT), '$.rule') FROM journal WHERE seq = hold.n), '');

-- Something that was reported and whose mark nobody could read.
CREATE TABLE unmarked(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, n INTEGER NOT NULL, text TEXT NOT NULL, by TEXT NOT NULL, at INTEGER NOT NULL, could TEXT NOT NULL, place TEXT NOT NULL DEFAULT '', settled INTEGER, became TEXT NOT NULL DEFAULT '', PRIMARY KEY(room, mark)) STRICT;
-- An item that is not for use until it is inspected, whatever its date.
CREATE TABLE called(n INTEGER PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, why TEXT NOT NULL, day TEXT NOT NULL, until TEXT NOT NULL) STRICT;
CREATE INDEX called_item ON called(room, mark);
CREATE TABLE incident(n INTEGER PRIMARY KEY, room TEXT NOT NULL, body TEXT NOT NULL) STRICT;
CREATE INDEX incident_room ON incident(room);
CREATE TABLE notice(n INTEGER PRIMARY KEY, room TEXT NOT NULL, number INTEGER NOT NULL, held INTEGER, body TEXT NOT NULL) STRICT;
CREATE INDEX notice_room ON notice(room, number);
CREATE TABLE notice_item(notice INTEGER NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, room TEXT NOT NULL, holder TEXT NOT NULL, asked INTEGER NOT NULL, answered INTEGER, has INTEGER NOT NULL DEFAULT 0, answer TEXT NOT NULL DEFAULT '', by TEXT NOT NULL DEFAULT '', PRIMARY KEY(notice, mark)) STRICT;
CREATE INDEX notice_open ON notice_item(room, answered);
CREATE TABLE destruction(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, n INTEGER NOT NULL, day TEXT NOT NULL, witness TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT;
CREATE TABLE replacement(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, n INTEGER NOT NULL, by TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT;
