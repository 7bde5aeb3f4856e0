-- v3 -> v4: Up to which day a room has been told what fell due

-- It isn't part of the record: without it, what is overdue would be told once more.
CREATE TABLE told(room TEXT PRIMARY KEY, day TEXT NOT NULL) STRICT;
