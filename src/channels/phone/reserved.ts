// The numbers a practice phone may have: only those that no real person can be given.

/** North America keeps 555-0100 to 555-0199 of every area code for fiction (ATIS, NANP administration). */
const NANP_FICTION = /^\+1[2-9]\d{2}55501\d{2}$/;
/** Great Britain keeps 07700 900000 to 900999 for drama (Ofcom, "Telephone numbers for use in TV and radio drama"). */
const UK_DRAMA = /^\+447700900\d{3}$/;

/** The number in E.164 form, or null when somebody could own it. A `+` read from an address as a space is a `+`. */
export function readReserved(given: string): string | null {
  const number = given.replace(/^ /, '+').replace(/[\s().-]/g, '');
  return NANP_FICTION.test(number) || UK_DRAMA.test(number) ? number : null;
}
