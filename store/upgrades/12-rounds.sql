-- v11 -> v12: Rounds, and inspections that belong to one or repeat another

ALTER TABLE inspection ADD COLUMN round TEXT NOT NULL DEFAULT '';
ALTER TABLE inspection ADD COLUMN repeats TEXT NOT NULL DEFAULT '';
CREATE INDEX inspection_round ON inspection(round, mark) WHERE round <> '';
CREATE INDEX inspection_repeats ON inspection(repeats) WHERE repeats <> '';
CREATE TABLE round(id TEXT PRIMARY KEY, room TEXT NOT NULL, thread TEXT NOT NULL, person TEXT NOT NULL, state TEXT NOT NULL, begun INTEGER NOT NULL, body TEXT NOT NULL) STRICT;
CREATE INDEX round_open ON round(room, state, person);
