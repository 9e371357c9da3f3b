// What is told of a case wherever it is shown: where it is hurt, the call, the last refill, the next check.
import { type Reader, say, term, when } from './desk.ts';
import type { Case } from './kept.ts';
import { html, type Markup } from '../wording/markup.ts';

/** The facts that a case's own page begins with. */
export function summary(reader: Reader, one: Case): (readonly [string, string | Markup])[] {
  return [
    [say(reader, 'call'), call(reader, one)],
    ...(one.contact.startsWith('chat:') ? [[say(reader, 'reach'), say(reader, 'page-only')] as const] : []),
    [say(reader, 'stage'), say(reader, `stages.${one.stage}`)],
    [say(reader, 'injuries'), injuries(reader, one)],
    [say(reader, 'refill'), lastRefill(reader, one)],
    [say(reader, 'next-check'), nextCheck(reader, one)],
  ];
}

/** Side and places, such as "left wrist, finger". */
export function limb(reader: Reader, one: Case): string {
  const { side, sites } = foundIn(one);
  const places = sites.map(({ region }) => term(reader, 'plan.place', region));
  return [side && term(reader, 'plan.side', side), [...new Set(places)].join(', ')].filter(Boolean).join(' ');
}

/** What is known so far, also while the questions still run. */
export const foundIn = (one: Case) => one.findings ?? one.asking.context.findings;

function injuries(reader: Reader, one: Case): string {
  const named = (one.plan?.injuries ?? []).map((id) => term(reader, 'plan.injury', id));
  return named.join(', ') || say(reader, 'unknown');
}

function call(reader: Reader, { call: open }: Case): Markup {
  if (!open) return html`${say(reader, 'calls.none')}`;
  const state = say(reader, `calls.${open.state}`);
  return html`<strong>${say(reader, `urgencies.${open.urgency}`)}, ${state}</strong>,
    ${when(reader, open.openedAt)}`;
}

/** The last check that told a count at all; a hand without one is "–". */
function lastRefill(reader: Reader, one: Case): Markup {
  const last = one.checks.findLast(({ told }) => told.refill !== undefined);
  if (!last) return html`${say(reader, 'unknown')}`;
  const hurt = String(last.told.refill ?? '–');
  const other = String(last.told.otherRefill ?? '–');
  return html`${say(reader, 'seconds', { hurt, other })} (${when(reader, last.at)})`;
}

/** The timers that ask for a circulation check: by the calendar, and again after one that was not good. */
const CHECK_TIMERS = ['check', 'recheck'];

function nextCheck(reader: Reader, one: Case): Markup {
  if (one.check) return html`${say(reader, 'asked')}, ${when(reader, one.check.since)}`;
  const due = CHECK_TIMERS.flatMap((name) => one.timers[name] ?? []);
  return due.length ? when(reader, Math.min(...due)) : html`–`;
}
