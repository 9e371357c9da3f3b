// Makes any text one that every engine can keep: PostgreSQL's has no U+0000, and knows no half of a surrogate pair.

/** U+0000 is kept as its picture, U+2400; a half pair as U+FFFD, as UTF-8 would have it. JSON in a text has neither raw. */
export function storable(text: string): string {
  return text.includes('\0') || !text.isWellFormed() ? text.toWellFormed().replaceAll('\0', '\u2400') : text;
}
