-- v13 -> v14: Rooms that were replaced by others

-- What a room was called before. Chains are kept short: room is always the one that stands now.
CREATE TABLE moved(was TEXT PRIMARY KEY, room TEXT NOT NULL) STRICT;
