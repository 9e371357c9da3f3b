// The top of a case's page: what it needs now, how urgent, why, who has it, and what is timed next.
import { reasonKey } from '../../record/findings.ts';
import { lastCount } from '../../record/assessment.ts';
import { nextCheckOf } from '../../record/next-check.ts';
import { seenByOf } from '../../record/recommendation.ts';
import { limitOf } from '../../record/refill-plot.ts';
import { urgencyOf } from '../../record/urgency.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseView, moment, nameOf, work } from './case-view.ts';
import { facts, say } from '../desk.ts';
import { needOf, whoHas } from '../list/needs.ts';

type Fact = readonly [string, string | Markup];

/** `act`: what can be done at once, right under what is most pressing. */
export function nowPart(view: CaseView, act: Markup | null): Markup {
  const { reader, telling } = view;
  const { case: of } = telling;
  const isPressing = ['call', 'late'].includes(needOf(of, reader.now)) || hasFailed(view);
  const isLoud = of.stage !== 'ended' && isPressing;
  return html`<p class="${isLoud ? 'headline loud' : 'headline'}"><strong>${headline(view)}</strong></p>
    ${act} ${facts([...whose(view), ...nextTimed(view), lastRefill(view), ...seen(view), ...reach(view)])}`;
}

/** One sentence: the most pressing. */
function headline(view: CaseView): Markup {
  const { reader, telling } = view;
  const { case: of } = telling;
  const { call, check, question } = of;
  if (of.stage === 'ended') return html`${work(reader, 'now.ended', { how: endedHow(view) })}`;
  if (call?.state === 'open')
    return html`${work(reader, 'now.call', { urgency: say(reader, `urgencies.${call.urgency}`), why: why(view) })}`;
  if (check) return html`${work(reader, 'now.check')} ${moment(view, check.since)}`;
  if (hasFailed(view)) return html`${work(reader, 'now.failed')}`;
  if (question) return html`${work(reader, 'now.question')} ${moment(view, question.since)}`;
  return html`${work(reader, `now.${of.stage}`)}`;
}

/** Nothing good was told since: a call that somebody took is no answer to it. */
function hasFailed({ telling: { case: of } }: CaseView): boolean {
  return of.stage === 'watching' && of.checks.at(-1)?.verdict.outcome === 'failed';
}

function endedHow({ reader, telling: { case: of } }: CaseView): string {
  const key = `casework.ended.${of.endedAs}`;
  return reader.words.has(key) ? reader.words.say(reader.language, key) : (of.endedAs ?? '');
}

function why({ telling }: CaseView): string {
  const reasons = telling.case.call?.reasons ?? [];
  return [...new Set(reasons.map((reason) => telling.say(`call.reason.${reasonKey(reason)}`)))].join('; ');
}

function whose(view: CaseView): Fact[] {
  const { reader, telling, me } = view;
  const { call, stage } = telling.case;
  if (stage === 'ended') return [];
  const has = whoHas(telling.case);
  const since = has?.how === 'held' ? telling.history.heldSince : call?.openedAt;
  const key = has ? `has.${has.how}${has.id === me ? '-you' : ''}` : call ? 'has.resting' : 'has.nobody';
  const who = work(reader, key, { name: has ? nameOf(view, has.id) : '' });
  const urgency = say(reader, `urgencies.${urgencyOf(telling)}`);
  const reasons = why(view);
  return [
    [work(reader, 'has.title'), since ? html`${who}, ${work(reader, 'since')} ${moment(view, since)}` : who],
    [say(reader, 'urgency'), urgency],
    ...(reasons ? [[work(reader, 'why'), reasons] as const] : []),
  ];
}

function nextTimed(view: CaseView): Fact[] {
  const { reader, telling } = view;
  const next = nextCheckOf(telling.case);
  if (telling.case.check)
    return [
      [say(reader, 'next-check'), html`${say(reader, 'asked')}, ${moment(view, telling.case.check.since)}`],
    ];
  return next === null ? [] : [[say(reader, 'next-check'), moment(view, next)]];
}

function lastRefill(view: CaseView): Fact {
  const { reader, telling } = view;
  const last = lastCount(telling);
  if (!last) return [say(reader, 'refill'), telling.say('record.no-count')];
  const limit = limitOf(telling);
  const told = say(reader, 'seconds', { hurt: last.told.refill ?? '–', other: last.told.otherRefill ?? '–' });
  const over = (last.told.refill ?? 0) > limit ? html`<strong class="loud">${told}</strong>` : html`${told}`;
  return [
    say(reader, 'refill'),
    html`${over}; ${telling.say('record.plot.limit', { limit })};
    ${telling.say(`record.outcome.${last.verdict.outcome}`)}, ${moment(view, last.at)}`,
  ];
}

function seen(view: CaseView): Fact[] {
  const { reader, telling } = view;
  const by = seenByOf(telling);
  if (telling.case.stage === 'ended' || by === null) return [];
  const isNow = urgencyOf(telling) === 'now';
  const when = isNow ? telling.say('record.seen.now') : moment(view, by);
  const says = telling.case.facts['seen'] === 'seen' ? work(reader, 'seen-told') : when;
  return [[say(reader, 'seen-by'), says]];
}

function reach({ reader, telling: { case: of } }: CaseView): Fact[] {
  if (of.contact === '') return [[say(reader, 'reach'), work(reader, 'wire.forgotten')]];
  const wire = of.contact.split(':')[0] ?? '';
  const how = wire === 'chat' ? say(reader, 'page-only') : work(reader, `wire.${wire}`);
  return [
    [say(reader, 'reach'), work(reader, 'wire.in', { how, language: languageName(reader, of.language) })],
  ];
}

/** A language's name in the reader's own. */
export function languageName({ language }: { language: string }, of: string): string {
  return new Intl.DisplayNames([language], { type: 'language' }).of(of) ?? of;
}
