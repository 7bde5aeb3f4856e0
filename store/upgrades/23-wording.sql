-- v22 -> v23: Guidance that a model reworded, and which guidance a reply holds

CREATE TABLE wording(n INTEGER PRIMARY KEY, key TEXT NOT NULL, at INTEGER NOT NULL, language TEXT NOT NULL, model TEXT NOT NULL, original TEXT NOT NULL, said TEXT NOT NULL, checks TEXT NOT NULL, choice TEXT NOT NULL, text TEXT NOT NULL) STRICT;
CREATE INDEX wording_key ON wording(key, choice);
ALTER TABLE outbox ADD COLUMN guidance TEXT NOT NULL DEFAULT '';
