-- The second factor of clinicians, and what was seen and done at the desk. Final: a change is a new file.

-- Sealed; null: none. A step is that of the last code taken: 0 until the first one was.
ALTER TABLE clinicians ADD COLUMN totp_secret bytea;
ALTER TABLE clinicians ADD COLUMN totp_step bigint NOT NULL DEFAULT 0;

-- Only ever added to. `hash` is over `before_hash`, the hash of the entry before, and the entry: what is changed, removed
-- or moved later breaks the chain. In the clear, and nothing of it made with the key, so that it outlives a change of it:
-- ids and codes only, never a number or what somebody said.
CREATE TABLE deeds (
  seq bigint PRIMARY KEY,
  at double precision NOT NULL,
  who text NOT NULL,
  did text NOT NULL,
  about text,
  before_hash text NOT NULL,
  hash text NOT NULL
);

CREATE FUNCTION keep_deeds() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'a deed is never changed or deleted';
END $$;

CREATE TRIGGER deeds_stay BEFORE UPDATE OR DELETE ON deeds FOR EACH ROW EXECUTE FUNCTION keep_deeds();
CREATE TRIGGER deeds_remain BEFORE TRUNCATE ON deeds FOR EACH STATEMENT EXECUTE FUNCTION keep_deeds();
