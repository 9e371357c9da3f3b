-- What each case adds to the figures, counted while its texts are still there. Final: a change is a new file.

-- `figures` is JSON of counts and words of the protocol: no text, no address, no moment finer than a week.
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

CREATE INDEX learned_week ON learned (week);
CREATE INDEX learned_moving ON learned (number) WHERE final = 0;
