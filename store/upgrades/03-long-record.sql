-- v2 -> v3: Looking up an item's last signature and the next record's number in a long record

DROP INDEX inspection_item;
CREATE INDEX inspection_item ON inspection(room, mark, state);
CREATE INDEX inspection_number ON inspection(room, number);
