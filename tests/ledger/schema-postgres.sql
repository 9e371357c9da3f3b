CREATE TABLE case_keys (
  code text COLLATE "C" NOT NULL,
  wrapped bytea NOT NULL,
  FOREIGN KEY (code) REFERENCES cases(code),
  PRIMARY KEY (code)
);

CREATE TABLE cases (
  number bigint NOT NULL,
  code text COLLATE "C" NOT NULL,
  contact bigint NOT NULL,
  version text COLLATE "C" NOT NULL,
  stage text NOT NULL,
  ended boolean NOT NULL,
  ended_at double precision,
  live boolean NOT NULL,
  call_state text,
  call_urgency integer,
  call_opened double precision,
  call_clinician text COLLATE "C",
  next_check double precision,
  state text NOT NULL,
  CHECK ((call_state = ANY (ARRAY['open'::text, 'accepted'::text]))),
  FOREIGN KEY (contact) REFERENCES contacts(id),
  PRIMARY KEY (number),
  UNIQUE (code)
);

CREATE TABLE clinicians (
  id text COLLATE "C" NOT NULL,
  name text NOT NULL,
  number_hash bytea NOT NULL,
  number bytea NOT NULL,
  language text NOT NULL,
  place integer NOT NULL,
  passphrase_hash text NOT NULL,
  totp_secret bytea,
  totp_step bigint NOT NULL DEFAULT 0,
  duty text,
  PRIMARY KEY (id),
  UNIQUE (number_hash),
  UNIQUE (place)
);

CREATE TABLE contact_keys (
  contact bigint NOT NULL,
  wrapped bytea NOT NULL,
  FOREIGN KEY (contact) REFERENCES contacts(id),
  PRIMARY KEY (contact)
);

CREATE TABLE contacts (
  id bigint NOT NULL,
  hash bytea,
  state text,
  leaving double precision,
  PRIMARY KEY (id),
  UNIQUE (hash)
);

CREATE TABLE deeds (
  seq bigint NOT NULL,
  at double precision NOT NULL,
  who text NOT NULL,
  did text NOT NULL,
  about text,
  before_hash text NOT NULL,
  hash text NOT NULL,
  PRIMARY KEY (seq)
);

CREATE TABLE events (
  code text COLLATE "C" NOT NULL,
  seq integer NOT NULL,
  event text NOT NULL,
  hash text NOT NULL,
  FOREIGN KEY (code) REFERENCES cases(code),
  PRIMARY KEY (code, seq)
);

CREATE TABLE facts (
  name text COLLATE "C" NOT NULL,
  value text NOT NULL,
  PRIMARY KEY (name)
);

CREATE TABLE learned (
  number bigint NOT NULL,
  week integer NOT NULL,
  turns integer NOT NULL,
  final integer NOT NULL,
  parts integer,
  figures text NOT NULL,
  CHECK ((final = ANY (ARRAY[0, 1]))),
  FOREIGN KEY (number) REFERENCES cases(number),
  PRIMARY KEY (number)
);

CREATE TABLE outbox (
  line bigint NOT NULL,
  state text NOT NULL,
  due double precision,
  urgent boolean NOT NULL,
  attempts integer NOT NULL DEFAULT 0,
  until double precision,
  stored_at double precision NOT NULL,
  carrier_id text COLLATE "C",
  error text,
  CHECK ((state = ANY (ARRAY['waiting'::text, 'leased'::text, 'handed'::text, 'unclear'::text, 'sent'::text, 'delivered'::text, 'failed'::text, 'dropped'::text]))),
  FOREIGN KEY (line) REFERENCES texts(line),
  PRIMARY KEY (line)
);

CREATE TABLE palmward_schema (
  version integer NOT NULL
);

CREATE TABLE texts (
  line bigint NOT NULL,
  at double precision NOT NULL,
  contact bigint NOT NULL,
  direction text NOT NULL,
  code text COLLATE "C",
  sealed bytea,
  within bigint,
  key text,
  sender text NOT NULL,
  carrier_id text COLLATE "C",
  pictures integer NOT NULL DEFAULT 0,
  answers bigint,
  fault text,
  CHECK ((direction = ANY (ARRAY['in'::text, 'out'::text]))),
  CHECK ((sender = ANY (ARRAY['palmward'::text, 'clinician'::text, 'helper'::text]))),
  FOREIGN KEY (answers) REFERENCES texts(line),
  FOREIGN KEY (code) REFERENCES cases(code),
  FOREIGN KEY (contact) REFERENCES contacts(id),
  PRIMARY KEY (line)
);

CREATE TABLE timers (
  code text COLLATE "C" NOT NULL,
  timer text COLLATE "C" NOT NULL,
  at double precision NOT NULL,
  due double precision NOT NULL,
  FOREIGN KEY (code) REFERENCES cases(code),
  PRIMARY KEY (code, timer)
);

CREATE TABLE versions (
  hash text COLLATE "C" NOT NULL,
  at double precision NOT NULL,
  files text NOT NULL,
  PRIMARY KEY (hash)
);

CREATE INDEX cases_calling ON cases USING btree (call_opened) WHERE (call_state = 'open'::text);
CREATE INDEX cases_ended ON cases USING btree (ended_at) WHERE (ended_at IS NOT NULL);
CREATE INDEX cases_live ON cases USING btree (version) WHERE live;
CREATE INDEX cases_of_clinician ON cases USING btree (call_clinician) WHERE (call_clinician IS NOT NULL);
CREATE INDEX cases_of_contact ON cases USING btree (contact) WHERE (NOT ended);
CREATE INDEX contacts_leaving ON contacts USING btree (leaving) WHERE (leaving IS NOT NULL);
CREATE INDEX deeds_about ON deeds USING btree (about, seq) WHERE (about IS NOT NULL);
CREATE INDEX learned_moving ON learned USING btree (number) WHERE (final = 0);
CREATE INDEX learned_week ON learned USING btree (week);
CREATE INDEX outbox_carrier ON outbox USING btree (carrier_id) WHERE (carrier_id IS NOT NULL);
CREATE INDEX outbox_due ON outbox USING btree (due) WHERE (due IS NOT NULL);
CREATE INDEX texts_answering ON texts USING btree (answers) WHERE (answers IS NOT NULL);
CREATE INDEX texts_at_fault ON texts USING btree (line) WHERE (fault IS NOT NULL);
CREATE INDEX texts_loose ON texts USING btree (at) WHERE ((code IS NULL) AND (within IS NOT NULL));
CREATE INDEX texts_of_case ON texts USING btree (code) WHERE (code IS NOT NULL);
CREATE INDEX texts_of_contact ON texts USING btree (contact, line);
CREATE UNIQUE INDEX texts_once ON texts USING btree (contact, carrier_id);
CREATE INDEX timers_due ON timers USING btree (due);

CREATE SEQUENCE case_numbers AS bigint;
CREATE SEQUENCE text_lines AS bigint;
