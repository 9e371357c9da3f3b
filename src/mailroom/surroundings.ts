// What each decision is told of the world: the moment, local time, the protocols.
import type { Shuffle } from '../care/codes.ts';
import type { Surroundings } from '../care/draft.ts';
import type { CaseClock } from './clock.ts';
import type { Protocols } from './protocols.ts';

export interface World {
  clock: CaseClock;
  protocols: Protocols;
  language: string;
  sms: boolean;
  /** The address of a case's drawing, where a phone can open one. */
  planLink: ((code: string) => string) | null;
  /** Minutes that local time is ahead of UTC at a moment. */
  utcOffsetAt: (at: number) => number;
  /** The order in which cases get their codes; absent in a ledger that began without one. */
  codes?: Shuffle;
  /** Who is rung in which order; remembers what it reckoned last. */
  orderAt?: NonNullable<Surroundings['orderAt']>;
}

export function surroundings({
  clock,
  protocols,
  language,
  sms,
  planLink,
  utcOffsetAt,
  codes,
  orderAt,
}: World): Surroundings {
  const at = clock.now();
  return {
    at,
    utcOffset: utcOffsetAt(at),
    current: protocols.current,
    protocolOf: (version) => protocols.of(version),
    withdrawn: protocols.withdrawn,
    language,
    sms,
    planLink,
    ...(codes ? { codes } : {}),
    ...(orderAt ? { orderAt } : {}),
  };
}

/** Reads the offset from the time zone's rules; whole minutes. */
export function offsetsOf(timeZone: string): (at: number) => number {
  const format = new Intl.DateTimeFormat('en', { timeZone, timeZoneName: 'longOffset' });
  let known = { hour: -1, offset: 0 };
  return (at) => {
    // An offset changes on the hour at most; asking the formatter for every message would cost more than the turn.
    const hour = Math.floor(at / 900_000);
    if (hour !== known.hour) known = { hour, offset: readOffset(format, at) };
    return known.offset;
  };
}

function readOffset(format: Intl.DateTimeFormat, at: number): number {
  const name = format.formatToParts(at).find(({ type }) => type === 'timeZoneName')?.value ?? 'GMT';
  const match = /GMT([+-])(\d{2}):(\d{2})/.exec(name);
  if (!match) return 0;
  const minutes = Number(match[2]) * 60 + Number(match[3]);
  return match[1] === '-' ? -minutes : minutes;
}
