-- v20 -> v21: What wore an item, and what a new one costs

CREATE TABLE worn(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, cause TEXT NOT NULL, side TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT;
CREATE TABLE price(room TEXT NOT NULL, maker TEXT NOT NULL, model TEXT NOT NULL, hundredths INTEGER NOT NULL, PRIMARY KEY(room, maker, model)) STRICT;
