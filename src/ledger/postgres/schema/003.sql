-- When clinicians are on call. Final: a change is a new file.

-- JSON: time zone, weekly shifts, exceptions. Null: nothing was given.
ALTER TABLE clinicians ADD COLUMN duty text;
