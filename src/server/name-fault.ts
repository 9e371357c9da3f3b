// Names a fault for the log: what kind it is and what caused it, never in its own words.

/** Class and code, such as `Error: SqliteError SQLITE_FULL`. Its words might hold a number or a text. */
export function nameFault(fault: unknown): string {
  if (!(fault instanceof Error)) return 'unknown';
  const code = 'code' in fault && typeof fault.code === 'string' ? ` ${fault.code}` : '';
  const own = `${fault.name}${code}`;
  return fault.cause === undefined ? own : `${own}: ${nameFault(fault.cause)}`;
}
