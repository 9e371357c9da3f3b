/** The database cannot be reached, or went away while it was asked. */
export class Unreachable extends Error {}
