-- The first schema. Final: a change is a new file with the next number.
-- Times are milliseconds since 1970; double precision, so that a fraction of a millisecond is never a fault.
-- Keys sort by their bytes (COLLATE "C"): the same on every machine, whatever its locale and its library's version.

CREATE TABLE palmward_schema (
  version integer NOT NULL
);

CREATE TABLE facts (
  name text COLLATE "C" PRIMARY KEY,
  value text NOT NULL
);

CREATE TABLE versions (
  hash text COLLATE "C" PRIMARY KEY,
  at double precision NOT NULL,
  files text NOT NULL
);

CREATE TABLE clinicians (
  id text COLLATE "C" PRIMARY KEY,
  name text NOT NULL,
  -- Of the number, keyed.
  number_hash bytea NOT NULL UNIQUE,
  number bytea NOT NULL,
  language text NOT NULL,
  place integer NOT NULL UNIQUE,
  passphrase_hash text NOT NULL
);

-- Every address that was ever written to or from. A row is the lock on everything of its address: its cases, timers and
-- texts. `state` is null where nothing is remembered but texts. The id is drawn by chance: it must not tell where its
-- address stands among all others.
CREATE TABLE contacts (
  id bigint PRIMARY KEY,
  -- Of the address, keyed. Null once forgotten.
  hash bytea UNIQUE,
  state text,
  -- Real time from which a forgotten contact, kept for its last answer only, is let go.
  leaving double precision
);

CREATE INDEX contacts_leaving ON contacts (leaving) WHERE leaving IS NOT NULL;

-- The key of a contact's own texts and, with it, the address. Forgetting is deleting the row.
CREATE TABLE contact_keys (
  contact bigint PRIMARY KEY REFERENCES contacts (id),
  wrapped bytea NOT NULL
);

-- Numbers are drawn, so that two processes never give the same; one that is drawn and not used is a gap.
CREATE SEQUENCE case_numbers;

-- `state` is the case as JSON and the truth, but for the contact's address; the other columns repeat what is searched for.
CREATE TABLE cases (
  number bigint PRIMARY KEY,
  code text COLLATE "C" NOT NULL UNIQUE,
  contact bigint NOT NULL REFERENCES contacts (id),
  version text COLLATE "C" NOT NULL,
  stage text NOT NULL,
  ended boolean NOT NULL,
  ended_at double precision,
  -- Not ended, or ended with a call that no clinician has ended yet.
  live boolean NOT NULL,
  call_state text CHECK (call_state IN ('open', 'accepted')),
  -- 0 now, 1 today, 2 soon
  call_urgency integer,
  call_opened double precision,
  -- Who holds the call, or is being rung.
  call_clinician text COLLATE "C",
  -- Since when a circulation check is wanted, or from when the next one will be.
  next_check double precision,
  state text NOT NULL
);

CREATE INDEX cases_of_contact ON cases (contact) WHERE NOT ended;
CREATE INDEX cases_of_clinician ON cases (call_clinician) WHERE call_clinician IS NOT NULL;
CREATE INDEX cases_calling ON cases (call_opened) WHERE call_state = 'open';
CREATE INDEX cases_live ON cases (version) WHERE live;
CREATE INDEX cases_ended ON cases (ended_at) WHERE ended_at IS NOT NULL;

-- The key of a case's texts. Forgetting is deleting the row.
CREATE TABLE case_keys (
  code text COLLATE "C" PRIMARY KEY REFERENCES cases (code),
  wrapped bytea NOT NULL
);

-- `hash` is empty where the next event belongs to the same turn.
CREATE TABLE events (
  code text COLLATE "C" NOT NULL REFERENCES cases (code),
  seq integer NOT NULL,
  event text NOT NULL,
  hash text NOT NULL,
  PRIMARY KEY (code, seq)
);

-- `at` is what the case asked for; `due` is later than that only after a turn that failed.
CREATE TABLE timers (
  code text COLLATE "C" NOT NULL REFERENCES cases (code),
  timer text COLLATE "C" NOT NULL,
  at double precision NOT NULL,
  due double precision NOT NULL,
  PRIMARY KEY (code, timer)
);

CREATE INDEX timers_due ON timers (due);

-- Drawn while the contact is locked: of two texts of one contact the later committed has the higher line.
CREATE SEQUENCE text_lines;

CREATE TABLE texts (
  line bigint PRIMARY KEY,
  at double precision NOT NULL,
  contact bigint NOT NULL REFERENCES contacts (id),
  direction text NOT NULL CHECK (direction IN ('in', 'out')),
  code text COLLATE "C" REFERENCES cases (code),
  -- The texts of one turn with one key are one seal, which the first of their lines holds: `within` is that line.
  -- Both are null once shredded.
  sealed bytea,
  within bigint,
  key text,
  sender text NOT NULL CHECK (sender IN ('palmward', 'clinician', 'helper')),
  -- Of a text that came in: the carrier's id, by which a repeat is known; hashed where it might hold an address.
  carrier_id text COLLATE "C",
  pictures integer NOT NULL DEFAULT 0,
  -- Of a text that went out in the answer to another: that one's line.
  answers bigint REFERENCES texts (line),
  -- What class of fault the turn on a text that came in ended with; such a text is decided anew when it comes again.
  fault text
);

CREATE UNIQUE INDEX texts_once ON texts (contact, carrier_id);
CREATE INDEX texts_of_contact ON texts (contact, line);
CREATE INDEX texts_of_case ON texts (code) WHERE code IS NOT NULL;
CREATE INDEX texts_answering ON texts (answers) WHERE answers IS NOT NULL;
CREATE INDEX texts_at_fault ON texts (line) WHERE fault IS NOT NULL;
-- Texts outside of any case, until they are deleted.
CREATE INDEX texts_loose ON texts (at) WHERE code IS NULL AND within IS NOT NULL;

-- Texts that have to be carried. `due` (real time) is when to look at one next; null once nothing is left to do.
CREATE TABLE outbox (
  line bigint PRIMARY KEY REFERENCES texts (line),
  state text NOT NULL CHECK (
    state IN ('waiting', 'leased', 'handed', 'unclear', 'sent', 'delivered', 'failed', 'dropped')
  ),
  due double precision,
  urgent boolean NOT NULL,
  attempts integer NOT NULL DEFAULT 0,
  -- On the cases' clock; null means always worth sending.
  until double precision,
  stored_at double precision NOT NULL,
  carrier_id text COLLATE "C",
  error text
);

CREATE INDEX outbox_due ON outbox (due) WHERE due IS NOT NULL;
CREATE INDEX outbox_carrier ON outbox (carrier_id) WHERE carrier_id IS NOT NULL;
