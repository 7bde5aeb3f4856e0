-- v3 -> v4: Rooms that are said to be replaced by others, until it is settled

CREATE TABLE replaced (
    room    TEXT PRIMARY KEY,
    by_room TEXT NOT NULL
) STRICT;
