-- v19 -> v20: Names and addresses that reports have to have

CREATE TABLE particulars(room TEXT NOT NULL, of TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY(room, of)) STRICT;
