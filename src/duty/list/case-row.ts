// One case in the list: two or three lines on a phone, one at a desk, and every word of it reads aloud in the same order.
import { createHash } from 'node:crypto';
import { limb } from '../limb.ts';
import { type Reader, say, term } from '../desk.ts';
import type { Case } from '../kept.ts';
import { type Need, whoHas } from './needs.ts';
import { nextCheckOf } from '../../record/next-check.ts';
import { sayAt } from './passing.ts';
import { countsOf } from '../../record/refill-counts.ts';
import { smallPlot } from './small-plot.ts';
import { html, type Markup } from '../../wording/markup.ts';

export interface Row {
  code: string;
  need: Need;
  /** With every time in it still empty (`passing.ts`). */
  markup: string;
  /** Another mark: something else than the passing of time changed. */
  mark: string;
}

/** What a row says beyond the case itself. */
export interface Beside {
  need: Need;
  /** Who has it, in words; null where nobody does. */
  who: string | null;
  isMine: boolean;
  /** Of a normal refill, in seconds. */
  limit: number;
}

const MARK_LENGTH = 10;

export function rowOf(reader: Reader, one: Case, beside: Beside): Row {
  const { code } = one;
  const { need } = beside;
  const { markup } = html`<li class="case ${need}" data-code="${code}" data-spoken="${spoken(reader, one)}">
    <p class="what">
      <a href="/duty/cases/${code}" aria-describedby="next-${code}"><b>${code}</b> ${limb(reader, one)}</a>
      ${injuries(reader, one)}
    </p>
    <p class="next" id="next-${code}">${next(reader, one)}</p>
    <p class="since">${since(reader, one)}</p>
    <p class="refill">${refill(reader, one, beside.limit)}</p>
    <p class="who">${holder(reader, beside)}</p>
  </li>`;
  const mark = createHash('sha256').update(markup).digest('base64url').slice(0, MARK_LENGTH);
  return { code, need, markup, mark };
}

/** Who has it, in words; `me` is the reader's id. */
export function whoInWords(
  reader: Reader,
  one: Case,
  me: string,
  names: ReadonlyMap<string, string>,
): string | null {
  const has = whoHas(one);
  if (!has) return one.call?.state === 'open' ? say(reader, 'list.ringing-nobody') : null;
  if (has.id === me) return say(reader, `list.${has.how}-you`);
  return say(reader, `list.${has.how}`, { name: names.get(has.id) ?? has.id });
}

function holder(reader: Reader, { who, isMine }: Beside): Markup {
  if (who === null) return html`<span class="unseen">${say(reader, 'list.nobody')}</span>`;
  return isMine ? html`<strong>${who}</strong>` : html`${who}`;
}

/** What is said aloud when a call opens. */
function spoken(reader: Reader, one: Case): string {
  return one.call?.state === 'open' ? `${one.code} ${limb(reader, one)}, ${calledFor(reader, one.call)}` : '';
}

function injuries(reader: Reader, one: Case): string {
  return (one.plan?.injuries ?? []).map((id) => term(reader, 'plan.injury', id)).join(', ');
}

function next(reader: Reader, one: Case): Markup {
  const { call, check, question } = one;
  if (call?.state === 'open')
    return html`<strong>${calledFor(reader, call)}</strong>, ${sayAt(reader, 'list.called', call.openedAt)}`;
  if (check) return sayAt(reader, 'list.asked', check.since);
  const due = nextCheckOf(one);
  if (due !== null) return sayAt(reader, 'list.check', due);
  return question
    ? sayAt(reader, 'list.question', question.since)
    : html`${say(reader, `stages.${one.stage}`)}`;
}

/** How urgent, and why. Every kind of failed check is one reason. */
function calledFor(reader: Reader, { urgency, reasons }: NonNullable<Case['call']>): string {
  const [reason = ''] = reasons;
  const key = reason.startsWith('check.') ? 'check-failed' : reason.replace(/^danger[.]/, 'danger-');
  return `${say(reader, `urgencies.${urgency}`)}: ${term(reader, 'call.reason', key)}`;
}

function refill(reader: Reader, one: Case, limit: number): Markup {
  const counts = countsOf(one.checks);
  const last = counts.at(-1);
  if (!last) return html`<span class="none">${say(reader, 'list.no-count')}</span>`;
  const told = say(reader, 'seconds', { hurt: last.hurt, other: last.other ?? '–' });
  const over = last.hurt > limit ? html`, <strong>${say(reader, 'list.over', { limit })}</strong>` : null;
  return html`${smallPlot(reader, counts, limit)}<span>${told}${over}</span>`;
}

function since(reader: Reader, one: Case): Markup {
  const reach = one.contact.startsWith('chat:') ? html` · ${say(reader, 'list.by-chat')}` : null;
  const lies = one.plan?.hold === 'as-it-lies';
  const fitted =
    one.fittedAt === null || lies
      ? html`${say(reader, lies ? 'list.as-it-lies' : 'list.not-fitted')}`
      : sayAt(reader, 'list.fitted', one.fittedAt);
  return html`${fitted}${reach}`;
}
