-- What each case adds to the figures, counted while its texts are still there. Final: a change is a new file.

-- `figures` is JSON of counts and words of the protocol: no text, no address, no moment finer than a week.
CREATE TABLE learned (
  number bigint PRIMARY KEY REFERENCES cases (number),
  week integer NOT NULL,
  -- Events of the case when it was counted: it is counted anew when there are more.
  turns integer NOT NULL,
  -- Nothing more can happen to the case.
  final integer NOT NULL CHECK (final IN (0, 1)),
  -- SMS parts sent; null where its texts were deleted before anybody counted.
  parts integer,
  figures text NOT NULL
);

CREATE INDEX learned_week ON learned (week);
CREATE INDEX learned_moving ON learned (number) WHERE final = 0;
