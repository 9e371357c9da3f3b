// The plans for the sign-off sheet: what is done once each, with all that leads to it, its numbers, sources and words.
import type { Protocol } from '../care/protocol.ts';
import { drawPlan } from '../drawing/draw-plan.ts';
import type { HeldJoint, Plan, Splint } from '../model.ts';
import { html, type Markup } from '../wording/markup.ts';
import { picture } from './picture.ts';
import { longerSide, said, sampleCase, withPlan } from './sample-case.ts';
import { leavingOf } from '../drawing/unheld-view.ts';
import { type Say, wordsFor } from '../drawing/words.ts';
import { table } from './table.ts';
import type { PlannedLimb } from './vet.ts';

const FINGER = /index|middle(?![-])|ring(?![-])|little/g;

/** One block for each position: plans that differ by the finger only stand together. */
export function planBlocks(plans: readonly PlannedLimb[], protocol: Protocol, language: string): Markup[] {
  const groups = Map.groupBy(plans, ({ plan }) =>
    mirrored([
      plan.hold,
      plan.hold === 'as-it-lies' && leavingOf(plan),
      plan.position,
      plan.splints,
      plan.cutDigits,
    ]),
  );
  return [...groups.values()].map((group, at) =>
    block(group as [PlannedLimb, ...PlannedLimb[]], at + 1, protocol, language),
  );
}

/** The same for every finger. */
function mirrored(value: unknown): string {
  return JSON.stringify(value).replaceAll(FINGER, 'finger');
}

function block(
  group: [PlannedLimb, ...PlannedLimb[]],
  number: number,
  protocol: Protocol,
  language: string,
): Markup {
  const [{ plan, limb }] = group;
  const alike = Map.groupBy(group, ({ plan: { urgency, call, calendar, conflict, seenBy, usualStay } }) =>
    JSON.stringify([urgency, call, calendar, conflict, seenBy.hours, usualStay]),
  );
  const title = `Plan ${number}: ${plan.hold.replaceAll('-', ' ')}`;
  const { before, last } = textsOf(group, protocol, language);
  const say: Say = (key, params) => protocol.words.say(language, key, params);
  // The side that the texts name, so that one can be read against the other.
  const drawn = { ...limb, side: longerSide(protocol, language) };
  return html`<section class="plan">
    <h3>${title}</h3>
    ${picture(drawPlan(plan, drawn, wordsFor(plan, drawn, say)), title)}
    ${plan.position.length > 0 ? positionTable(plan) : null}
    ${plan.splints.length > 0 ? html`<p>Splints: ${plan.splints.map((splint) => splintWords(splint, say)).join('; ')}</p>` : null}
    ${plan.cutDigits.length > 0 ? html`<p>Tendons assumed cut: ${plan.cutDigits.join(', ')}</p>` : null}
    <p>Must keep moving: ${plan.free.join(', ') || 'nothing'}</p>
    <ul>
      ${[...alike.values()].map((same) => html`<li>${leadsHere(same)}</li>`)}
    </ul>
    ${textList('The texts before the last', before, protocol, language)}
    ${textList('The last text', last, protocol, language)}
  </section>`;
}

/** Texts that follow one another stand together; the last, which only tells how urgent it is, by itself. */
function textList(name: string, texts: string[][], { words }: Protocol, language: string): Markup {
  return html`<p class="for">${name}</p>
    <ul class="texts" lang="${language}" dir="${words.direction(language)}">
      ${texts.map((told) => html`<li>${told.map((text) => html`<p>${text}</p>`)}</li>`)}
    </ul>`;
}

function positionTable({ position }: Plan): Markup {
  return table(
    ['joint', 'from', 'to', 'aim', 'direction', 'sources'],
    position.map(({ joint, degrees: [from, to], aim, direction, source }: HeldJoint) => [
      joint,
      from,
      to,
      aim,
      direction,
      source,
    ]),
  );
}

function splintWords({ face, from, to, digits }: Splint, say: Say): string {
  const over = digits.length > 0 ? `, ${digits.join(' + ')}` : '';
  return `${face}, ${say(`plan.from.${from}`)} - ${say(`plan.to.${to}`)}${over}`;
}

/** Until when a clinician should have seen it, how long it usually stays on, and what bend is tolerated. */
function afterwards(same: readonly PlannedLimb[]): string {
  const [{ plan }] = same as [PlannedLimb];
  const { seenBy, usualStay, tolerated } = plan;
  const seen =
    plan.urgency === 'soon'
      ? `seen within ${seenBy.hours} h${seenBy.unlessBetter ? ' unless better' : ''} (${seenBy.source})`
      : '';
  const stays = usualStay
    ? `usually ${[...new Set(usualStay.weeks)].join(' to ')} weeks (${usualStay.source})`
    : '';
  const bends = tolerated.map(
    ({ digit, degrees, source }) => `${digit} bent by ${degrees.join(' to ')} degrees (${source})`,
  );
  const left = bends.length > 0 ? `usually left: ${bends.join(', ')}; no turning at all` : '';
  return [seen, stays, left].filter((each) => each !== '').join('; ');
}

/** How urgent it is, and from which rows: sets of rows that only add to a smaller one come to the same, and are counted. */
function leadsHere(same: readonly PlannedLimb[]): string {
  const [{ plan }] = same as [PlannedLimb];
  const sets = [...new Map(same.map(({ plan: { injuries } }) => [injuries.join(' + '), injuries])).values()];
  const least = sets.filter(
    (set) => !sets.some((other) => other !== set && other.every((id) => set.includes(id))),
  );
  const named = new Set(least.flat());
  const beside = [...new Set(sets.flat())].filter((id) => !named.has(id));
  const urgency = `${plan.urgency}${plan.call ? ', calls' : ''}, ${plan.calendar ? `${plan.calendar} calendar` : 'no watch'}`;
  const fingers = [...new Set(same.flatMap(({ limb }) => limb.sites.flatMap(({ digits }) => digits ?? [])))];
  return [
    `${urgency}: ${least.map((set) => set.join(' + ')).join('; ')}`,
    beside.length > 0 ? ` (the same beside ${beside.join(', ')})` : '',
    fingers.length > 0 ? ` [${fingers.join(', ')}]` : '',
    ...[afterwards(same)].filter((each) => each !== '').map((each) => `. ${each}`),
  ].join('');
}

/** What is said before the last text, and last: each wording once; of those that differ by the place, the first. */
function textsOf(
  group: readonly PlannedLimb[],
  protocol: Protocol,
  language: string,
): Record<'before' | 'last', string[][]> {
  const begun = sampleCase(protocol, language);
  const side = longerSide(protocol, language);
  const naming = protocol.words.keys().filter((key) => /^plan[.](place|digit)[.]/.test(key));
  const names = naming.map((key) => protocol.words.say(language, key));
  const masked = (texts: string[]) => names.reduce((all, word) => all.replaceAll(word, '*'), texts.join());
  const keep = (known: Map<string, string[]>, told: string[]) =>
    known.has(masked(told)) ? known : known.set(masked(told), told);
  const before = new Map<string, string[]>();
  const last = new Map<string, string[]>();
  for (const { limb, plan } of group) {
    const spoken = said(withPlan(begun, { ...limb, side }, plan), { plan: 'all' }, protocol, language);
    const told = spoken.map(({ text }) => text.replace(/^\d\/\d /, ''));
    keep(before, told.slice(0, -1));
    keep(last, told.slice(-1));
  }
  return { before: [...before.values()], last: [...last.values()] };
}
