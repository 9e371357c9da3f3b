// What the page shows of a watch: when the next check comes, and whether a refill is to be counted now.
import type { Case, Instant } from '../../care/types.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type Reader, say } from '../page.ts';

export interface Watched {
  /** On the cases' clock; null: none is timed, or one is being asked. */
  next: Instant | null;
  /** The hands whose refill is to be counted, in the order of the answer. */
  press: ('hurt' | 'other')[];
}

/** The timers that ask for a circulation check: by the calendar, and one more outside it. */
const CHECK_TIMERS = ['check', 'recheck'];

/** Of all open cases of one chat. Where two wait for a check an answer begins with a code, so that nothing is counted into it. */
export function watchedOf(cases: readonly Case[]): Watched {
  const open = cases.filter(({ stage }) => stage !== 'ended');
  const times = open.flatMap(({ timers }) => CHECK_TIMERS.flatMap((name) => timers[name] ?? []));
  const [asked, ...others] = open.filter(({ check }) => check !== null);
  const next = asked === undefined && times.length > 0 ? Math.min(...times) : null;
  return { next, press: asked && others.length === 0 ? handsOf(asked) : [] };
}

function handsOf({ check }: Case): Watched['press'] {
  if (check?.alone === 'refill') return ['hurt'];
  if (check?.alone === 'otherRefill') return ['other'];
  return check?.alone === null ? ['hurt', 'other'] : [];
}

/** How the time until the next check is told. */
export interface Times {
  /** Now, on the cases' clock. */
  now: Instant;
  /** Real milliseconds until a moment on the cases' clock. */
  realMsUntil: (at: Instant) => number;
  /** Local time of the helpers, such as 14:40. */
  clockOf: (at: Instant) => string;
}

const MINUTE_MS = 60_000;
/** From here on whole hours are near enough. */
const HOURS_FROM_MIN = 100;

/** The time as words; the script counts on from there. A hand to be counted is told to the script alone. */
export function watchedNow(reader: Reader, { next, press }: Watched, times: Times): Markup | null {
  if (press.length > 0) return html`<p data-press="${press.join(' ')}" hidden></p>`;
  if (next === null) return null;
  const minutes = Math.ceil((next - times.now) / MINUTE_MS);
  if (minutes <= 0) return html`<p>${say(reader, 'chat.next-now')}</p>`;
  const ms = Math.round(times.realMsUntil(next));
  const until =
    minutes < HOURS_FROM_MIN
      ? say(reader, 'chat.in-minutes', { count: minutes })
      : say(reader, 'chat.in-hours', { count: Math.round(minutes / 60) });
  return html`<p role="timer">
    ${say(reader, 'chat.next', { clock: times.clockOf(next) })} <b data-ms="${ms}">${until}</b>
  </p>`;
}
