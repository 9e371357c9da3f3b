// The plans for the sign-off sheet: what is done once each, with all that leads to it, its numbers, sources and words.
import type { Protocol } from '../care/protocol.ts';
import { drawPlan } from '../drawing/draw-plan.ts';
import type { HeldJoint, Plan, Splint } from '../model.ts';
import { html, type Markup } from '../wording/markup.ts';
import { picture } from './picture.ts';
import { longerSide, said, sampleCase, withPlan } from './sample-case.ts';
import { wordsFor } from '../drawing/words.ts';
import type { PlannedLimb } from './vet.ts';

const FINGER = /index|middle(?![-])|ring(?![-])|little/g;
/** One block for each position: plans that differ by the finger only stand together. */
export function planBlocks(plans: readonly PlannedLimb[], protocol: Protocol, language: string): Markup[] {
  const groups = Map.groupBy(plans, ({ plan }) =>
    mirrored([plan.hold, plan.position, plan.splints, plan.cutDigits]),
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
  const texts = textsOf(group, protocol, language);
  const say = (key: string, params?: Record<string, string | number>) =>
    protocol.words.say(language, key, params);
  return html`<section class="plan">
    <h3>${title}</h3>
    ${picture(drawPlan(plan, limb, wordsFor(plan, limb, say)), title)}
    ${plan.position.length > 0 ? positionTable(plan) : null}
    ${plan.splints.length > 0 ? html`<p>Splints: ${plan.splints.map(splintWords).join('; ')}</p>` : null}
    ${plan.cutDigits.length > 0 ? html`<p>Tendons assumed cut: ${plan.cutDigits.join(', ')}</p>` : null}
    <p>Must keep moving: ${plan.free.join(', ') || 'nothing'}</p>
    <ul>
      ${[...alike.values()].map((same) => html`<li>${leadsHere(same)}</li>`)}
    </ul>
    ${texts
      .flatMap((told, nth) => (told.length === 0 ? [] : [{ told, nth }]))
      .map(
        ({ told, nth }) =>
          html`<p class="for">${WHICH[nth] ?? ''}</p>
            <ul class="texts" lang="${language}" dir="${protocol.words.direction(language)}">
              ${told.map((text) => html`<li>${text}</li>`)}
            </ul>`,
      )}
  </section>`;
}

function positionTable({ position }: Plan): Markup {
  return html`<table>
    <tr>
      <th>joint</th>
      <th>from</th>
      <th>to</th>
      <th>aim</th>
      <th>direction</th>
      <th>sources</th>
    </tr>
    ${position.map(
      ({ joint, degrees: [from, to], aim, direction, source }: HeldJoint) =>
        html`<tr>
          <td>${joint}</td>
          <td>${from}</td>
          <td>${to}</td>
          <td>${aim}</td>
          <td>${direction}</td>
          <td>${source}</td>
        </tr>`,
    )}
  </table>`;
}

function splintWords({ face, from, to, digits }: Splint): string {
  return `${face}, from ${from} to ${to}${digits.length > 0 ? `, ${digits.join(' + ')}` : ''}`;
}

/** Until when a clinician should have seen it, how long it usually stays on, and what bend is tolerated. */
function afterwards(same: readonly PlannedLimb[]): string {
  const [{ plan }] = same as [PlannedLimb];
  const { seenBy, usualStay, tolerated } = plan;
  const seen =
    plan.urgency === 'soon'
      ? `seen within ${seenBy.hours} h${seenBy.unlessBetter ? ' unless better' : ''} (${seenBy.source})`
      : '';
  const stays = usualStay ? `usually ${usualStay.weeks.join(' to ')} weeks (${usualStay.source})` : '';
  const bends = tolerated.map(
    ({ digit, degrees, source }) => `${digit} bent by up to ${degrees.join(' to ')} degrees (${source})`,
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
  const more = sets.length - least.length;
  const urgency = `${plan.urgency}${plan.call ? ', calls' : ''}, ${plan.calendar ? `${plan.calendar} calendar` : 'no watch'}`;
  const fingers = [...new Set(same.flatMap(({ limb }) => limb.sites.flatMap(({ digits }) => digits ?? [])))];
  return [
    `${urgency}: ${least.map((set) => set.join(' + ')).join('; ')}`,
    more > 0 ? ` (and ${more} sets with more rows)` : '',
    fingers.length > 0 ? ` [${fingers.join(', ')}]` : '',
    ...[afterwards(same)].filter((each) => each !== '').map((each) => `. ${each}`),
  ].join('');
}

/** What is said first, second and last, each wording once; of those that differ by the place they name, the first. */
function textsOf(group: readonly PlannedLimb[], protocol: Protocol, language: string): string[][] {
  const begun = sampleCase(protocol, language);
  const side = longerSide(protocol, language);
  const naming = protocol.words.keys().filter((key) => /^plan[.](place|digit)[.]/.test(key));
  const names = naming.map((key) => protocol.words.say(language, key));
  const masked = (text: string) => names.reduce((all, word) => all.replaceAll(word, '*'), text);
  const texts: Map<string, string>[] = [];
  for (const { limb, plan } of group)
    said(withPlan(begun, { ...limb, side }, plan), { plan: 'all' }, protocol, language).forEach(
      ({ text }, nth, all) => {
        const known = (texts[nth < all.length - 1 ? nth : LAST] ??= new Map());
        const words = text.replace(/^\d\/\d /, '');
        if (!known.has(masked(words))) known.set(masked(words), words);
      },
    );
  return Array.from(texts, (known) => [...(known?.values() ?? [])]);
}
/** Whatever comes last, comes after every other. */
const LAST = 4;
const WHICH = ['First text', 'Second text', 'Third text', 'Fourth text', 'Last text'];
