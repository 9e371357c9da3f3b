// What a log may say of a fault: its class, code and place. Its words might hold a number or a text.

export function describeFault(fault: unknown): string {
  if (!(fault instanceof Error)) return 'unknown';
  return [nameFault(fault), placesOf(fault)[0]].filter(Boolean).join(' ');
}

/** Class and code, and those of what caused it, such as `Error: SqliteError SQLITE_FULL`. */
export function nameFault(fault: unknown): string {
  if (!(fault instanceof Error)) return 'unknown';
  const own = [fault.name, codeOf(fault)].filter(Boolean).join(' ');
  return fault.cause === undefined ? own : `${own}: ${nameFault(fault.cause)}`;
}

/** Where it was thrown, innermost first. The stack begins with the message, which may have lines of its own. */
export function placesOf({ message, stack = '' }: Error): string[] {
  const said = stack.indexOf(message);
  if (said < 0) return [];
  return stack
    .slice(said + message.length)
    .split('\n')
    .flatMap((line) => /^\s+at .*?((?:file:|node:|\/)[^\s()]*:\d+:\d+)\)?$/.exec(line)?.[1] ?? []);
}

function codeOf(fault: Error): string {
  const { code } = fault as { code?: unknown };
  return typeof code === 'string' && /^[A-Z][A-Z0-9_]*$/.test(code) ? code : '';
}
