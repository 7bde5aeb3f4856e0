-- v7 -> v8: Which question a reply asked, so that a tap under it answers that one and no other

ALTER TABLE outbox ADD COLUMN question TEXT NOT NULL DEFAULT '';
