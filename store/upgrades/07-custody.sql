-- v6 -> v7: Who has an item, whether it was seen, finding one by part of what is said of it, sets and bags

CREATE TABLE custody(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, body TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
CREATE INDEX item_holder ON item(room, body ->> '$.holder');
-- said is what an item can be found by: words in small letters, each with a space before and behind it.
CREATE TABLE item_text(n INTEGER PRIMARY KEY, room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, said TEXT NOT NULL, UNIQUE(room, mark)) STRICT;
CREATE VIRTUAL TABLE item_words USING fts5(said, content='item_text', content_rowid='n', tokenize='trigram');
CREATE TRIGGER item_text_new AFTER INSERT ON item_text BEGIN
    INSERT INTO item_words(rowid, said) VALUES (new.n, new.said);
END;
CREATE TRIGGER item_text_gone AFTER DELETE ON item_text BEGIN
    INSERT INTO item_words(item_words, rowid, said) VALUES ('delete', old.n, old.said);
END;
CREATE TRIGGER item_text_other AFTER UPDATE ON item_text BEGIN
    INSERT INTO item_words(item_words, rowid, said) VALUES ('delete', old.n, old.said);
    INSERT INTO item_words(rowid, said) VALUES (new.n, new.said);
END;
-- Sets and sealed bags, and what is in each now: an item is in one at most.
CREATE TABLE bundle(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, body TEXT NOT NULL, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
CREATE TABLE part(room TEXT NOT NULL, mark TEXT NOT NULL COLLATE NOCASE, bundle TEXT NOT NULL COLLATE NOCASE, PRIMARY KEY(room, mark)) STRICT, WITHOUT ROWID;
CREATE INDEX part_bundle ON part(room, bundle, mark);
