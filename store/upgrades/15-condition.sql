-- v14 -> v15: How a transport is, told to the keeper who asks

-- It isn't part of the record: the transport writes it anew when it starts.
CREATE TABLE condition(place TEXT PRIMARY KEY, body TEXT NOT NULL) STRICT;
