// The plan of a case at the desk: the drawing, and beside it every joint with its degrees and where they come from.
import { drawPlan } from '../drawing/draw-plan.ts';
import { type Say, wordsFor } from '../drawing/words.ts';
import type { HeldJoint, Plan, SeenBy } from '../model.ts';
import { foundIn } from './case-list.ts';
import { facts, type Reader, say, term } from './desk.ts';
import type { Case } from './kept.ts';
import { html, type Markup } from '../wording/markup.ts';

export function planCard(reader: Reader, one: Case): Markup {
  const { plan } = one;
  if (!plan) return html`<p>${say(reader, 'no-plan')}</p>`;
  return html`${plan.conflict ? html`<p><strong>${say(reader, 'conflict')}</strong></p>` : null}
    <div class="cards">
      ${drawing(reader, plan, one)}${plan.position.length ? joints(reader, plan) : null}
    </div>
    ${facts([
      [say(reader, 'hold'), say(reader, `holds.${plan.hold}`)],
      [say(reader, 'urgency'), say(reader, `urgencies.${plan.urgency}`)],
      [say(reader, 'splints'), splints(plan)],
      [say(reader, 'free'), plan.free.join(', ') || '–'],
      [say(reader, 'cautions'), plan.cautions.join(', ') || '–'],
      ...afterwards(reader, plan),
    ])}`;
}

/** Until when it is to be seen, how long it usually stays, and which bend is left. A case may be older than these. */
function afterwards(reader: Reader, plan: Plan): [string, string][] {
  const { seenBy, usualStay, tolerated }: Partial<Plan> = plan;
  const rows: [string, string | undefined][] = [
    ['seen-by', seenBy && seenWords(reader, seenBy)],
    ['usual-stay', usualStay ? say(reader, 'weeks', spanOf(usualStay.weeks, usualStay.source)) : undefined],
    [
      'tolerated',
      tolerated
        ?.map(({ digit, degrees, source }) => say(reader, 'bend', { digit, ...spanOf(degrees, source) }))
        .join('; '),
    ],
  ];
  return rows.flatMap(([name, value]) => (value ? [[say(reader, name), value]] : []));
}

function seenWords(reader: Reader, { hours, unlessBetter, source }: SeenBy): string {
  return say(reader, unlessBetter ? 'seen-unless-better' : 'seen-within', { hours, source });
}

function spanOf([from, to]: readonly [number, number], source: string) {
  return { from, to, source };
}

/** The drawing escapes its words itself. A case may be older than the words, so that a word that is gone is its own key. */
function drawing(reader: Reader, plan: Plan, one: Case): Markup {
  const { words, language } = reader;
  const told: Say = (key, params) =>
    words.has(key) ? words.say(language, key, params) : key.slice(key.lastIndexOf('.') + 1);
  const about = foundIn(one);
  return { markup: drawPlan(plan, about, wordsFor(plan, about, told)) };
}

function joints(reader: Reader, { position }: Plan): Markup {
  const heads = ['joint', 'motion', 'degrees-head', 'source'].map(
    (key) => html`<th scope="col">${say(reader, key)}</th>`,
  );
  return html`<table>
    <caption>
      ${say(reader, 'position')}
    </caption>
    <tr>
      ${heads}
    </tr>
    ${position.map((held) => row(reader, held))}
  </table>`;
}

function row(reader: Reader, { joint, direction, degrees: [from, to], aim, source }: HeldJoint): Markup {
  return html`<tr>
    <th scope="row">${joint}</th>
    <td>${term(reader, 'pages.duty.directions', direction)}</td>
    <td>${say(reader, 'degrees', { from, to, aim })}</td>
    <td>${source}</td>
  </tr>`;
}

function splints({ splints: all }: Plan): Markup {
  const lines = all.map(
    ({ face, from, to, digits }) => html`<li>${[face, `${from} – ${to}`, ...digits].join(', ')}</li>`,
  );
  return lines.length
    ? html`<ul>
        ${lines}
      </ul>`
    : html`–`;
}
