// The plan of a case at the desk: the drawing, and beside it every joint with its degrees, which injury asks for them, and
// where the numbers come from.
import { drawPlan } from '../../drawing/draw-plan.ts';
import { wordsFor } from '../../drawing/words.ts';
import type { HeldJoint, Plan } from '../../model.ts';
import { digitsOf, foundIn } from '../../record/findings.ts';
import { freeIn, heldIn, nameOf as jointsOf } from '../../record/held.ts';
import { holdOf, splintInWords } from '../../record/recommendation.ts';
import type { Telling } from '../../record/recorded.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseView, list, work } from './case-view.ts';
import { facts, type Reader, say } from '../desk.ts';

export function planCard({ reader, telling }: Pick<CaseView, 'reader' | 'telling'>): Markup {
  const { plan } = telling.case;
  return plan ? planInWords(reader, telling, plan) : html`<p>${say(reader, 'no-plan')}</p>`;
}

/** Any plan for this hand: the one in force, one that was corrected, or one that is being looked at. */
export function planInWords(reader: Reader, telling: Telling, plan: Plan): Markup {
  const used = new Map<string, number>();
  const numbered = (keys: string) => numbersOf(keys, used);
  const position = plan.position.length > 0 ? joints(reader, telling, plan, numbered) : null;
  const other = facts(otherFacts(reader, telling, plan, numbered));
  return html`<div class="plan">
      <figure>${drawing(telling, plan)}</figure>
      <div>${position} ${other}</div>
    </div>
    ${sources(reader, telling, used)}`;
}

/** While numbers are being changed: the drawing, and every joint with what asks for it. */
export function planInBrief(reader: Reader, telling: Telling, plan: Plan): Markup {
  const used = new Map<string, number>();
  const numbered = (keys: string) => numbersOf(keys, used);
  return html`<figure>${drawing(telling, plan)}</figure>
    ${plan.position.length > 0 ? joints(reader, telling, plan, numbered) : null}
    ${facts([[say(reader, 'free'), plan.free.length > 0 ? freeIn(plan, telling.say) : '–']])}
    ${sources(reader, telling, used)}`;
}

/** The drawing escapes its words itself. */
function drawing(telling: Telling, plan: Plan): Markup {
  const about = foundIn(telling);
  return { markup: drawPlan(plan, about, wordsFor(plan, about, telling.say)) };
}

function joints(reader: Reader, telling: Telling, plan: Plan, numbered: (keys: string) => string): Markup {
  const bySource = Map.groupBy(plan.position, ({ source }) => source);
  const rows = [...bySource.values()].flatMap((position) => {
    const reason = whyHeld(reader, telling, plan, position);
    return heldIn({ ...plan, position }).map((held) => ({
      held,
      why: reason(held.part),
      source: position[0]!.source,
    }));
  });
  const name = say(reader, 'position');
  return html`<div class="scroll" tabindex="0" role="region" aria-label="${name}">
    <table>
      <caption>
        ${name}
      </caption>
      <thead>
        <tr>
          ${['joint', 'aim', 'range', 'why'].map((key) => html`<th scope="col">${work(reader, `plan.${key}`)}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          ({ held, why, source }) =>
            html`<tr>
              <th scope="row">${jointsOf(held, telling.say)}</th>
              <td>${held.aim}° ${telling.say(`record.direction.${held.direction}`)}</td>
              <td>${telling.say('record.degrees', { from: held.degrees[0], to: held.degrees[1] })}</td>
              <td>${why} ${numbered(source)}</td>
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

/** Which injuries ask for a joint, in words: the plan's rows whose position names it. */
function whyHeld(
  reader: Reader,
  { protocol, say: told }: Telling,
  { injuries }: Plan,
  position: readonly HeldJoint[],
) {
  const isCorrected = position.every(({ source }) => source === 'clinician');
  const rows = protocol.rules.rows.filter(({ id }) => injuries.includes(id));
  return (part: string): string => {
    if (isCorrected) return work(reader, 'plan.clinician');
    const kind = part.replace('thumb-', 'thumb.');
    const asking = rows.filter(({ effect, also }) =>
      [effect, ...also.map((more) => more.effect)].some((each) =>
        each.position.some(({ joint }) => joint === kind),
      ),
    );
    return asking.map(({ id }) => told(`plan.injury.${id}`)).join(', ') || '–';
  };
}

function otherFacts(
  reader: Reader,
  telling: Telling,
  plan: Plan,
  numbered: (keys: string) => string,
): [string, string | Markup][] {
  const { say: told } = telling;
  const { seenBy, usualStay, tolerated }: Partial<Plan> = plan;
  const splints = plan.splints.map((splint) => html`${splintInWords(splint, telling)}`);
  const rows: [string, string | Markup | null][] = [
    [say(reader, 'hold'), told(`record.hold.${holdOf(plan)}`)],
    [say(reader, 'urgency'), told(`record.urgency.${plan.urgency}`)],
    [say(reader, 'splints'), splints.length > 0 ? list(splints) : null],
    [say(reader, 'free'), plan.free.length > 0 ? freeIn(plan, told) : null],
    [work(reader, 'plan.cut'), plan.cutDigits.length > 0 ? digitsOf(plan.cutDigits, told) : null],
    [say(reader, 'cautions'), cautions(telling, plan)],
    [
      say(reader, 'seen-by'),
      seenBy
        ? `${work(reader, seenBy.unlessBetter ? 'plan.seen-unless' : 'plan.seen', { count: seenBy.hours })} ${numbered(seenBy.source)}`
        : null,
    ],
    [
      say(reader, 'usual-stay'),
      usualStay
        ? `${told('record.weeks', { from: usualStay.weeks[0], to: usualStay.weeks[1] })} ${numbered(usualStay.source)}`
        : null,
    ],
    [
      say(reader, 'tolerated'),
      tolerated
        ?.map(
          ({ digit, degrees: [from, to], source }) =>
            `${told('record.bend', { digit: digitsOf([digit], told), from, to })} ${numbered(source)}`,
        )
        .join('; ') || null,
    ],
  ];
  return rows.flatMap(([name, value]) => (value === null ? [] : [[name, value]]));
}

/** What must be said with the plan, as it is said to the helper, in the reader's language. */
function cautions({ say: told, protocol: { words } }: Telling, plan: Plan): Markup | null {
  const said = plan.cautions.filter((key) => words.has(`plan.advice.${key}`));
  return said.length > 0 ? list(said.map((key) => html`${told(`plan.advice.${key}`)}`)) : null;
}

/** `[1][3]`: the numbers of the sources in the list under the plan, which are counted as they come. */
function numbersOf(keys: string, used: Map<string, number>): string {
  return keys
    .split('; ')
    .filter((key) => key !== 'clinician')
    .map((key) => {
      if (!used.has(key)) used.set(key, used.size + 1);
      return `[${used.get(key)}]`;
    })
    .join('');
}

function sources(reader: Reader, telling: Telling, used: ReadonlyMap<string, number>): Markup | null {
  if (used.size === 0) return null;
  return html`<h4>${work(reader, 'plan.sources')}</h4>
    <ol class="sources">
      ${[...used.keys()].map((key) => html`<li>${sourceInWords(reader, telling, key)}</li>`)}
    </ol>`;
}

function sourceInWords(reader: Reader, { protocol }: Telling, key: string): string {
  const source = protocol.rules.sources[key];
  if (!source) return key;
  if (source.kind !== 'published') return work(reader, `plan.kind.${source.kind}`);
  const { title, publisher, year, seen } = source as {
    title: string;
    publisher?: string;
    year?: number;
    seen: boolean;
  };
  const where = [publisher, year].filter((each) => each !== undefined).join(', ');
  const named = where ? `${title} (${where})` : title;
  return seen ? named : `${named}. ${work(reader, 'plan.not-read')}`;
}
