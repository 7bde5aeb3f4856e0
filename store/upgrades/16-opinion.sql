-- v15 -> v16: Points of an inspection that somebody else is asked to look at

CREATE TABLE opinion(id TEXT PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, n INTEGER NOT NULL, answered INTEGER NOT NULL, body TEXT NOT NULL) STRICT;
CREATE INDEX opinion_item ON opinion(room, mark, answered);
CREATE INDEX opinion_open ON opinion(room, n) WHERE answered = 0;
