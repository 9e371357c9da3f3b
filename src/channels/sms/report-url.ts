// Where the gateway reports what became of a text, and how often it tries to reach us there.

/**
 * Three repeats where no connection comes about, no answer comes or we could not store it: else a report that met us in a
 * restart is lost, and with it the call to a clinician. A fragment is for the gateway alone and is not signed. Its form:
 * Twilio's page on connection overrides.
 */
const REPEATS = '#rc=3&rp=ct,rt,5xx';

/** `statusUrl` without a query. */
export function reportUrl(statusUrl: string, line: number): string {
  return `${statusUrl}?line=${line}${REPEATS}`;
}
