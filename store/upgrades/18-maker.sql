-- v17 -> v18: Questions to makers, and what they answered

CREATE TABLE maker_question(n INTEGER PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, maker TEXT NOT NULL, question TEXT NOT NULL, by TEXT NOT NULL, asked INTEGER NOT NULL, sent TEXT NOT NULL DEFAULT '', answered INTEGER, answer TEXT NOT NULL DEFAULT '', document TEXT NOT NULL DEFAULT '', taken_by TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX maker_question_item ON maker_question(room, mark);
CREATE INDEX maker_question_open ON maker_question(room, n) WHERE answered IS NULL;
