// The protocol in force, and the older versions that open cases began with and end under.
import { broughtUp, type Protocol } from '../care/protocol.ts';

export interface Protocols {
  current: Protocol;
  of(version: string): Protocol;
  /** Why the protocol in force is withdrawn, as far as this process has heard; null while it is not. */
  withdrawn: string | null;
}

/** An open case whose version cannot be opened any more goes on under the current one. */
export function keepProtocols(current: Protocol, older: Protocol[]): Protocols {
  const still = older.map((each) => broughtUp(each, current));
  const byVersion = new Map([...still, current].map((protocol) => [protocol.version, protocol]));
  return { current, of: (version) => byVersion.get(version) ?? current, withdrawn: null };
}
