-- Numbers and texts are sealed. Final: a change is a new file with the next number.
-- Functions that SQLite does not have are those of seal-plain.ts; they know the key, this file never does.
-- A table is rebuilt under another name and then takes the old one's place, as SQLite's documentation of ALTER TABLE
-- advises: what refers to it by name goes on doing so.

-- In random order: a row's number must not tell where its address stands among all others.
CREATE TEMP TABLE known (id INTEGER PRIMARY KEY, address TEXT NOT NULL UNIQUE);
INSERT INTO known (address)
SELECT address FROM (SELECT address FROM contacts UNION SELECT address FROM texts) ORDER BY random();

-- Every address that was ever written to or from. Without `state` nothing is remembered but its texts.
CREATE TABLE new_contacts (
  id INTEGER PRIMARY KEY,
  -- Of the address, keyed. Null once forgotten.
  hash BLOB UNIQUE,
  state TEXT,
  -- Real time from which a forgotten contact, kept for its last answer only, is let go.
  leaving REAL
) STRICT;

INSERT INTO new_contacts (id, hash, state)
SELECT known.id, hash_of(known.address), contact_state(contacts.state)
FROM known LEFT JOIN contacts USING (address);

-- The key of a contact's own texts and, with it, the address. Forgetting is deleting the row.
CREATE TABLE contact_keys (
  contact INTEGER PRIMARY KEY REFERENCES contacts (id),
  wrapped BLOB NOT NULL
) STRICT;

INSERT INTO contact_keys (contact, wrapped) SELECT id, contact_key(id, address) FROM known;

-- The key of a case's texts. Forgetting is deleting the row.
CREATE TABLE case_keys (
  code TEXT PRIMARY KEY REFERENCES cases (code),
  wrapped BLOB NOT NULL
) STRICT, WITHOUT ROWID;

INSERT INTO case_keys (code, wrapped)
SELECT code, case_key(code) FROM cases WHERE code IN (SELECT code FROM texts WHERE body IS NOT NULL);

CREATE TABLE new_clinicians (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  -- Of the number, keyed.
  number_hash BLOB NOT NULL UNIQUE,
  number BLOB NOT NULL,
  language TEXT NOT NULL,
  place INTEGER NOT NULL UNIQUE,
  passphrase_hash TEXT NOT NULL
) STRICT;

INSERT INTO new_clinicians
SELECT clinician_id(id), name, hash_of(number), sealed_number(clinician_id(id), number), language, place,
  passphrase_hash
FROM clinicians;

-- `state` is the case as JSON and the truth, but for the contact's address; the other columns repeat what is searched for.
CREATE TABLE new_cases (
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

INSERT INTO new_cases
SELECT number, code, known.id, version, stage, ended,
  CASE ended WHEN 1 THEN
    (SELECT event ->> 'at' FROM events WHERE events.code = cases.code ORDER BY seq DESC LIMIT 1) + 0.0
  END,
  live, call_state, call_urgency, call_opened, clinician_id(call_clinician), next_check, case_state(state)
FROM cases JOIN known ON known.address = cases.contact;

CREATE TABLE new_texts (
  line INTEGER PRIMARY KEY,
  at REAL NOT NULL,
  contact INTEGER NOT NULL REFERENCES contacts (id),
  direction TEXT NOT NULL CHECK (direction IN ('in', 'out')),
  code TEXT REFERENCES cases (code),
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
SELECT line, at, known.id, direction, texts.code,
  sealed_text(line, texts.code, known.id, body, case_keys.wrapped, contact_keys.wrapped), iif(body IS NULL, NULL, line),
  key, sender, carrier_id_kept(carrier_id, known.id, contact_keys.wrapped), pictures, answers,
  substr(fault, 1, instr(fault || ':', ':') - 1)
FROM texts JOIN known USING (address)
LEFT JOIN case_keys ON case_keys.code = texts.code
JOIN contact_keys ON contact_keys.contact = known.id;

-- Only the case as it is now is at hand, so only its last hash can be made anew without the address.
UPDATE events SET event = event_kept(event), hash = '';
UPDATE events SET hash = (SELECT state_hash(state) FROM new_cases WHERE new_cases.code = events.code)
WHERE (code, seq) IN (SELECT code, max(seq) FROM events GROUP BY code);

UPDATE facts SET value = sealed_fact(name, value) WHERE name LIKE '%.secret';
INSERT INTO facts (name, value) VALUES ('key.check', key_check());

DROP TABLE texts;
DROP TABLE cases;
DROP TABLE contacts;
DROP TABLE clinicians;
DROP TABLE known;
ALTER TABLE new_texts RENAME TO texts;
ALTER TABLE new_cases RENAME TO cases;
ALTER TABLE new_contacts RENAME TO contacts;
ALTER TABLE new_clinicians RENAME TO clinicians;

CREATE INDEX contacts_leaving ON contacts (leaving) WHERE leaving IS NOT NULL;

CREATE INDEX cases_of_contact ON cases (contact) WHERE ended = 0;
CREATE INDEX cases_of_clinician ON cases (call_clinician) WHERE call_clinician IS NOT NULL;
CREATE INDEX cases_calling ON cases (call_opened) WHERE call_state = 'open';
CREATE INDEX cases_live ON cases (version) WHERE live = 1;
CREATE INDEX cases_ended ON cases (ended_at) WHERE ended_at IS NOT NULL;

-- The next case's number is one more than the highest, so no case may ever go.
CREATE TRIGGER cases_stay BEFORE DELETE ON cases
BEGIN
  SELECT RAISE (ABORT, 'a case is never deleted: its number would be given again');
END;

-- Once each where the carrier gave an id; also finds the texts of a contact.
CREATE UNIQUE INDEX texts_once ON texts (contact, carrier_id);
CREATE INDEX texts_of_case ON texts (code) WHERE code IS NOT NULL;
CREATE INDEX texts_answering ON texts (answers) WHERE answers IS NOT NULL;
CREATE INDEX texts_at_fault ON texts (line) WHERE fault IS NOT NULL;
-- Texts outside of any case, until they are deleted.
CREATE INDEX texts_loose ON texts (at) WHERE code IS NULL AND within IS NOT NULL;
