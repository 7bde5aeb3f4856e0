-- v21 -> v22: Rounds of practice on invented kit

CREATE TABLE practice(n INTEGER PRIMARY KEY, room TEXT NOT NULL, who TEXT NOT NULL, at INTEGER NOT NULL, planted INTEGER NOT NULL, caught INTEGER NOT NULL) STRICT;
CREATE INDEX practice_who ON practice(room, who, at);
