-- v5 -> v6: What Becket tells people by itself, and when

-- When each team is told everything that is open, and when it is left in peace.
CREATE TABLE telling(room TEXT PRIMARY KEY, body TEXT NOT NULL) STRICT;

-- What is looked at next. It doesn't follow from the record: losing it means that something is told once more, or a
-- week later, and no more than that.
CREATE TABLE reminder(
    room   TEXT NOT NULL,
    rule   TEXT NOT NULL, -- what comes by the calendar, or 'person' for what one person is asked about
    person TEXT NOT NULL,
    matter TEXT NOT NULL,
    since  INTEGER NOT NULL, -- what came up to then is told
    next   INTEGER,          -- null: it is answered
    PRIMARY KEY(room, rule, person, matter)
) STRICT, WITHOUT ROWID;
CREATE INDEX reminder_next ON reminder(next) WHERE next IS NOT NULL;
CREATE INDEX reminder_with ON reminder(room, person, next) WHERE next IS NOT NULL;
CREATE INDEX reminder_since ON reminder(since);

-- Each time that came by the calendar, and under which message it was told; empty: nothing was to be said.
CREATE TABLE occurrence(
    room TEXT NOT NULL,
    rule TEXT NOT NULL,
    day  TEXT NOT NULL, -- the local day
    at   INTEGER NOT NULL,
    said TEXT NOT NULL,
    PRIMARY KEY(room, rule, day)
) STRICT, WITHOUT ROWID;

-- What fell due was told day by day before. Noon of a day lies on that day in any zone.
INSERT INTO reminder(room, rule, person, matter, since, next)
    SELECT room, 'due', '', '', (unixepoch(day) + 43200) * 1000000, 0 FROM told;
DROP TABLE told;
