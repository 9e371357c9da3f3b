CREATE TRIGGER cases_stay BEFORE DELETE ON cases
BEGIN
  SELECT RAISE (ABORT, 'a case is never deleted: its number would be given again');
END;

CREATE TRIGGER deeds_follow BEFORE INSERT ON deeds
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM deeds)
BEGIN
  SELECT RAISE (ABORT, 'a deed only follows the last one');
END;

CREATE TRIGGER deeds_remain BEFORE DELETE ON deeds
BEGIN
  SELECT RAISE (ABORT, 'a deed is never deleted');
END;

CREATE TRIGGER deeds_stay BEFORE UPDATE ON deeds
BEGIN
  SELECT RAISE (ABORT, 'a deed is never changed');
END;

CREATE TABLE "case_keys" (
  number INTEGER PRIMARY KEY REFERENCES cases (number),
  wrapped BLOB NOT NULL
) STRICT;

CREATE TABLE "cases" (
  number INTEGER PRIMARY KEY,
  code TEXT NOT NULL UNIQUE,
  contact INTEGER NOT NULL REFERENCES contacts (id),
  version TEXT NOT NULL,
  stage TEXT NOT NULL,
  ended INTEGER NOT NULL CHECK (ended IN (0, 1)),
  ended_at REAL,
  -- Not ended, or ended with a call that no clinician has ended yet.
  live INTEGER NOT NULL CHECK (live IN (0, 1)),
  call_state TEXT CHECK (call_state IN ('open', 'accepted')),
  -- 0 now, 1 today, 2 soon
  call_urgency INTEGER,
  call_opened REAL,
  -- Who holds the call, or is being rung.
  call_clinician TEXT,
  -- Since when a circulation check is wanted, or from when the next one will be.
  next_check REAL,
  state TEXT NOT NULL
) STRICT;

CREATE TABLE "clinicians" (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  -- Of the number, keyed.
  number_hash BLOB NOT NULL UNIQUE,
  number BLOB NOT NULL,
  language TEXT NOT NULL,
  place INTEGER NOT NULL UNIQUE,
  passphrase_hash TEXT NOT NULL
, totp_secret BLOB, totp_step INTEGER NOT NULL DEFAULT 0, duty TEXT) STRICT;

CREATE TABLE contact_keys (
  contact INTEGER PRIMARY KEY REFERENCES contacts (id),
  wrapped BLOB NOT NULL
) STRICT;

CREATE TABLE "contacts" (
  id INTEGER PRIMARY KEY,
  -- Of the address, keyed. Null once forgotten.
  hash BLOB UNIQUE,
  state TEXT,
  -- Real time from which a forgotten contact, kept for its last answer only, is let go.
  leaving REAL
) STRICT;

CREATE TABLE deeds (
  seq INTEGER PRIMARY KEY,
  at REAL NOT NULL,
  who TEXT NOT NULL,
  did TEXT NOT NULL,
  about TEXT,
  before_hash TEXT NOT NULL,
  hash TEXT NOT NULL
) STRICT;

CREATE TABLE "events" (
  number INTEGER NOT NULL REFERENCES cases (number),
  seq INTEGER NOT NULL,
  event TEXT NOT NULL,
  -- Empty where the next event belongs to the same turn.
  hash TEXT NOT NULL,
  PRIMARY KEY (number, seq)
) STRICT;

CREATE TABLE facts (
  name TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE learned (
  number INTEGER PRIMARY KEY REFERENCES cases (number),
  week INTEGER NOT NULL,
  -- Events of the case when it was counted: it is counted anew when there are more.
  turns INTEGER NOT NULL,
  -- Nothing more can happen to the case.
  final INTEGER NOT NULL CHECK (final IN (0, 1)),
  -- SMS parts sent; null where its texts were deleted before anybody counted.
  parts INTEGER,
  figures TEXT NOT NULL
) STRICT;

CREATE TABLE outbox (
  line INTEGER PRIMARY KEY REFERENCES texts (line),
  state TEXT NOT NULL CHECK (
    state IN ('waiting', 'leased', 'handed', 'unclear', 'sent', 'delivered', 'failed', 'dropped')
  ),
  due REAL,
  urgent INTEGER NOT NULL CHECK (urgent IN (0, 1)),
  attempts INTEGER NOT NULL DEFAULT 0,
  -- On the cases' clock; null means always worth sending.
  until REAL,
  stored_at REAL NOT NULL,
  carrier_id TEXT,
  error TEXT
) STRICT;

CREATE TABLE "texts" (
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

CREATE TABLE "timers" (
  number INTEGER NOT NULL REFERENCES cases (number),
  timer TEXT NOT NULL,
  at REAL NOT NULL,
  due REAL NOT NULL,
  PRIMARY KEY (number, timer)
) STRICT, WITHOUT ROWID;

CREATE TABLE versions (
  hash TEXT PRIMARY KEY,
  at REAL NOT NULL,
  files TEXT NOT NULL
) STRICT;

CREATE INDEX cases_calling ON cases (call_opened) WHERE call_state = 'open';

CREATE INDEX cases_ended ON cases (ended_at) WHERE ended_at IS NOT NULL;

CREATE INDEX cases_live ON cases (version) WHERE live = 1;

CREATE INDEX cases_of_clinician ON cases (call_clinician) WHERE call_clinician IS NOT NULL;

CREATE INDEX cases_of_contact ON cases (contact) WHERE ended = 0;

CREATE INDEX contacts_leaving ON contacts (leaving) WHERE leaving IS NOT NULL;

CREATE INDEX deeds_about ON deeds (about, seq) WHERE about IS NOT NULL;

CREATE INDEX learned_moving ON learned (number) WHERE final = 0;

CREATE INDEX learned_week ON learned (week);

CREATE INDEX outbox_carrier ON outbox (carrier_id) WHERE carrier_id IS NOT NULL;

CREATE INDEX outbox_due ON outbox (due) WHERE due IS NOT NULL;

CREATE INDEX texts_answering ON texts (answers) WHERE answers IS NOT NULL;

CREATE INDEX texts_at_fault ON texts (line) WHERE fault IS NOT NULL;

CREATE INDEX texts_beside ON texts (number) WHERE beside = 1;

CREATE INDEX texts_loose ON texts (at) WHERE number IS NULL AND within IS NOT NULL;

CREATE INDEX texts_of_contact ON texts (contact, number);

CREATE UNIQUE INDEX texts_once ON texts (contact, carrier_id) WHERE carrier_id IS NOT NULL;

CREATE INDEX timers_due ON timers (due);
