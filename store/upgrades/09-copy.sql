-- v8 -> v9: What a copy of the record is, and what isn't known after going on from one

-- A room whose keeper hasn't said yet what happened since the copy that its record goes on from.
CREATE TABLE unaccounted(room TEXT PRIMARY KEY, since INTEGER NOT NULL) STRICT;

-- When this file was made as a copy; empty in the record itself. It speaks of the file, so no entry gives it.
CREATE TABLE copied(made INTEGER NOT NULL) STRICT;
