-- v18 -> v19: Finding out whether a picture was sent before

CREATE INDEX journal_photo ON journal(json_extract(CAST(body AS TEXT), '$.hash')) WHERE kind = 'photo';
