-- v4 -> v5: Which items need something done by a day, without looking at all of them

-- day is when an item's signature or life runs out; empty: something has to be done already, whatever the day.
CREATE TABLE calendar(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, day TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
CREATE INDEX calendar_day ON calendar(room, day);
CREATE INDEX hold_standing ON hold(room, mark, n) WHERE released IS NULL;
CREATE INDEX item_model ON item(room, maker COLLATE NOCASE, model COLLATE NOCASE);
