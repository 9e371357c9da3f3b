-- What belongs to a case is found by its number. Final: a change is a new file.
-- Codes are in an order that nobody can guess, so that by code the rows of neighbours, which fall due one after the other,
-- lay all over the file, and every turn wrote pages that no other turn shared.

CREATE TABLE new_events (
  number INTEGER NOT NULL REFERENCES cases (number),
  seq INTEGER NOT NULL,
  event TEXT NOT NULL,
  -- Empty where the next event belongs to the same turn.
  hash TEXT NOT NULL,
  PRIMARY KEY (number, seq)
) STRICT;

INSERT INTO new_events (number, seq, event, hash)
SELECT number, seq, event, hash FROM events JOIN cases USING (code) ORDER BY events.rowid;

-- `at` is what the case asked for; `due` is later than that only after a turn that failed.
CREATE TABLE new_timers (
  number INTEGER NOT NULL REFERENCES cases (number),
  timer TEXT NOT NULL,
  at REAL NOT NULL,
  due REAL NOT NULL,
  PRIMARY KEY (number, timer)
) STRICT, WITHOUT ROWID;

INSERT INTO new_timers (number, timer, at, due)
SELECT number, timer, at, due FROM timers JOIN cases USING (code) ORDER BY number;

-- The key of a case's texts. Forgetting is deleting the row.
CREATE TABLE new_case_keys (
  number INTEGER PRIMARY KEY REFERENCES cases (number),
  wrapped BLOB NOT NULL
) STRICT;

INSERT INTO new_case_keys (number, wrapped)
SELECT number, wrapped FROM case_keys JOIN cases USING (code) ORDER BY number;

CREATE TABLE new_texts (
  line INTEGER PRIMARY KEY,
  at REAL NOT NULL,
  contact INTEGER NOT NULL REFERENCES contacts (id),
  direction TEXT NOT NULL CHECK (direction IN ('in', 'out')),
  -- Of the case it is about; null outside of any.
  number INTEGER REFERENCES cases (number),
  -- Of a text about a case that is another contact's: one to a clinician, or from one.
  beside INTEGER NOT NULL CHECK (beside IN (0, 1)),
  -- The texts of one turn with one key are one seal, which the first of their lines holds: `within` is that line.
  -- Both are null once shredded.
  sealed BLOB,
  within INTEGER,
  key TEXT,
  sender TEXT NOT NULL CHECK (sender IN ('palmward', 'clinician', 'helper')),
  -- Of a text that came in: the carrier's id, by which a repeat is known; hashed where it might hold an address.
  carrier_id TEXT,
  pictures INTEGER NOT NULL DEFAULT 0,
  -- Of a text that went out in the answer to another: that one's line.
  answers INTEGER REFERENCES texts (line),
  -- What class of fault the turn on a text that came in ended with; such a text is decided anew when it comes again.
  fault TEXT
) STRICT;

INSERT INTO new_texts
SELECT line, at, texts.contact, direction, number, coalesce(cases.contact <> texts.contact, 0), sealed, within, key, sender,
  carrier_id, pictures, answers, fault
FROM texts LEFT JOIN cases USING (code) ORDER BY line;

DROP TABLE events;
DROP TABLE timers;
DROP TABLE case_keys;
DROP TABLE texts;
ALTER TABLE new_events RENAME TO events;
ALTER TABLE new_timers RENAME TO timers;
ALTER TABLE new_case_keys RENAME TO case_keys;
ALTER TABLE new_texts RENAME TO texts;

CREATE INDEX timers_due ON timers (due);

-- Once each where the carrier gave an id.
CREATE UNIQUE INDEX texts_once ON texts (contact, carrier_id) WHERE carrier_id IS NOT NULL;
-- A contact's, and of those a case's. The few others about a case are in the next one.
CREATE INDEX texts_of_contact ON texts (contact, number);
CREATE INDEX texts_beside ON texts (number) WHERE beside = 1;
CREATE INDEX texts_answering ON texts (answers) WHERE answers IS NOT NULL;
CREATE INDEX texts_at_fault ON texts (line) WHERE fault IS NOT NULL;
-- Texts outside of any case, until they are deleted.
CREATE INDEX texts_loose ON texts (at) WHERE number IS NULL AND within IS NOT NULL;
