// The mark of a ledger that was moved.

/** A fact of the file that was moved: where to, so that nobody serves it again and the two grow apart. */
export const MOVED_FACT = 'moved.to';
