-- v12 -> v13: Inspections that somebody else is asked to repeat, blind

CREATE TABLE repeat_rule(room TEXT PRIMARY KEY, one_in INTEGER NOT NULL) STRICT;
CREATE TABLE repeat(first TEXT PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, who TEXT NOT NULL, asked INTEGER NOT NULL) STRICT;
CREATE INDEX repeat_room ON repeat(room);
