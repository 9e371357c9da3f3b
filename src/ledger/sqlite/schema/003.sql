-- The second factor of clinicians, and what was seen and done at the desk. Final: a change is a new file.

-- Sealed; null: none. A step is that of the last code taken: 0 until the first one was.
ALTER TABLE clinicians ADD COLUMN totp_secret BLOB;
ALTER TABLE clinicians ADD COLUMN totp_step INTEGER NOT NULL DEFAULT 0;

-- Only ever added to. `hash` is over `before_hash`, the hash of the entry before, and the entry: what is changed, removed
-- or moved later breaks the chain. In the clear, and nothing of it made with the key, so that it outlives a change of it:
-- ids and codes only, never a number or what somebody said.
CREATE TABLE deeds (
  seq INTEGER PRIMARY KEY,
  at REAL NOT NULL,
  who TEXT NOT NULL,
  did TEXT NOT NULL,
  about TEXT,
  before_hash TEXT NOT NULL,
  hash TEXT NOT NULL
) STRICT;

CREATE TRIGGER deeds_stay BEFORE UPDATE ON deeds
BEGIN
  SELECT RAISE (ABORT, 'a deed is never changed');
END;

CREATE TRIGGER deeds_remain BEFORE DELETE ON deeds
BEGIN
  SELECT RAISE (ABORT, 'a deed is never deleted');
END;

-- INSERT OR REPLACE would delete without asking the trigger above.
CREATE TRIGGER deeds_follow BEFORE INSERT ON deeds
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM deeds)
BEGIN
  SELECT RAISE (ABORT, 'a deed only follows the last one');
END;
