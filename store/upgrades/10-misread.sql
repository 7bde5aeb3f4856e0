-- v9 -> v10: Which instrument an inspection's readings were taken with, and what one that was found out had measured

ALTER TABLE inspection ADD COLUMN instrument TEXT NOT NULL DEFAULT '';
ALTER TABLE inspection ADD COLUMN measured INTEGER NOT NULL DEFAULT 0;
UPDATE inspection SET
    instrument = coalesce((SELECT json_extract(CAST(body AS TEXT), '$.instrument') FROM journal WHERE seq = inspection.seq), ''),
    measured = EXISTS (SELECT 1 FROM journal WHERE subject = 'inspection:' || inspection.id AND kind = 'answer'
        AND json_array_length(CAST(body AS TEXT), '$.readings') > 0);
CREATE INDEX inspection_instrument ON inspection(room, instrument) WHERE measured = 1;
CREATE TABLE misread(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, n INTEGER NOT NULL, instrument TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
