-- v10 -> v11: Words and photos that their sender has deleted

-- The body of an entry may change while the newest entry says that it is blanked. Verify knows what it was blanked to.
DROP TRIGGER journal_is_never_changed;
CREATE TRIGGER journal_is_never_changed BEFORE UPDATE ON journal
WHEN NEW.seq IS NOT OLD.seq OR NEW.at IS NOT OLD.at OR NEW.room IS NOT OLD.room OR NEW.subject IS NOT OLD.subject
    OR NEW.kind IS NOT OLD.kind OR NEW.by_whom IS NOT OLD.by_whom OR NEW.cause IS NOT OLD.cause OR NEW.hash IS NOT OLD.hash
    OR NOT (SELECT kind = 'blank' AND subject = 'entry:' || OLD.seq FROM journal ORDER BY seq DESC LIMIT 1)
BEGIN SELECT raise(ABORT, 'an entry in the journal is never changed'); END;

-- Photos that no entry speaks of any more, until their files are gone.
CREATE TABLE unwanted(hash TEXT PRIMARY KEY) STRICT, WITHOUT ROWID;
