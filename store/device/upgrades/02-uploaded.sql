-- v1 -> v2: Files that are on the homeserver, while the messages that bring them aren't sent

CREATE TABLE uploaded (
    txn     TEXT PRIMARY KEY, -- of the message that brings it
    content BLOB NOT NULL
) STRICT;
