-- v23 -> v24: Serials and marks found in whichever way they are written or misread

-- These are the texts that the queries have (alike in item.go): otherwise SQLite reads the whole register.
CREATE INDEX item_serial_alike ON item(room, replace(replace(replace(replace(replace(replace(upper(serial), ' ', ''), '-', ''), '.', ''), 'O', '0'), 'I', '1'), 'L', '1'), mark);
CREATE INDEX item_mark_alike ON item(room, replace(replace(replace(replace(replace(replace(upper(mark), ' ', ''), '-', ''), '.', ''), 'O', '0'), 'I', '1'), 'L', '1'), mark);
DROP INDEX IF EXISTS item_serial;
