// The handover on one sheet: ISBAR in words, the drawing, the position, refill over time, what was said, what is open.
import { drawPlan } from '../../drawing/draw-plan.ts';
import { wordsFor } from '../../drawing/words.ts';
import { foundIn } from '../../record/findings.ts';
import { isbarOf } from '../../record/isbar.ts';
import { momentOf } from '../../record/moments.ts';
import { openMatters } from '../../record/open-matters.ts';
import { positionRows } from '../../record/recommendation.ts';
import type { SaidText, Telling } from '../../record/recorded.ts';
import { refillPlot } from '../../record/refill-plot.ts';
import type { Section } from '../../record/rows.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { shorten } from '../../wording/compose.ts';
import { checkTable } from './check-table.ts';
import { facts, frame, type Reader, say, type Sitting } from '../desk.ts';
import { type Sending, sendForm } from './handover-form.ts';

export type { Recorded } from '../../record/recorded.ts';
export { tellIn } from '../../record/tell.ts';

/** Texts of the conversation that the sheet has room for, and how long each may be. */
const LAST_SAID = 4;
const LONGEST_SAID = 130;

export function handoverPage(
  sitting: Sitting,
  { reader, telling }: { reader: Reader; telling: Telling },
  sending: Sending,
): string {
  const { say: told, case: of } = telling;
  return frame(
    reader,
    sitting,
    html`<p class="screen">
        <a href="/duty/cases/${of.code}">${say(reader, 'case', { code: of.code })}</a>
      </p>
      ${sendForm(sitting, telling, sending)}
      <article class="sheet">
        <h2>${told('record.title', { code: of.code })}</h2>
        <p class="caution">${told('record.caution')} ${told('record.no-name')}</p>
        ${isbarOf(telling).map((section) => sectionPart(section, telling))}
      </article>`,
    '/sheet.css',
  );
}

function sectionPart(section: Section, telling: Telling): Markup {
  const { say: told } = telling;
  const words = facts(section.rows.map(([key, says]) => [told(`record.row.${key}`), says] as const));
  return html`<section class="isbar ${section.key}">
    <h3>${told(`record.section.${section.key}`)}</h3>
    ${BODIES[section.key]?.(words, telling) ?? words}
  </section>`;
}

/** What stands with the words of a section. */
const BODIES: Partial<Record<Section['key'], (words: Markup, telling: Telling) => Markup>> = {
  situation: (words, telling) => html`<div class="beside">${words} ${openPart(telling)}</div>`,
  assessment: (words, telling) =>
    html`${words}
      <div class="beside">${plot(telling)} ${checkTable(telling)}</div>
      ${saidPart(telling)}`,
  recommendation: (words, telling) =>
    html`<div class="beside">
      ${drawing(telling)}
      <div>${words} ${position(telling)}</div>
    </div>`,
};

// Both drawings escape their words themselves.
function plot(telling: Telling): Markup {
  const drawn = refillPlot(telling);
  return drawn === null
    ? html`<p>${telling.say('record.plot.empty')}</p>`
    : html`<figure>${{ markup: drawn }}</figure>`;
}

function drawing(telling: Telling): Markup | null {
  const { plan } = telling.case;
  if (!plan) return null;
  const about = foundIn(telling);
  return html`<figure>${{ markup: drawPlan(plan, about, wordsFor(plan, about, telling.say)) }}</figure>`;
}

function position(telling: Telling): Markup | null {
  const rows = positionRows(telling);
  if (rows.length === 0) return null;
  const { say: told } = telling;
  const name = told('record.position.caption');
  return html`<div class="scroll" tabindex="0" role="region" aria-label="${name}">
    <table>
      <caption>
        ${name}
      </caption>
      <tr>
        ${['joint', 'motion', 'range', 'aim'].map((key) => html`<th scope="col">${told(`record.position.${key}`)}</th>`)}
      </tr>
      ${rows.map(
        ({ cells: [joint = '', ...rest] }) =>
          html`<tr>
            <th scope="row">${joint}</th>
            ${rest.map((cell) => html`<td>${cell}</td>`)}
          </tr>`,
      )}
    </table>
  </div>`;
}

function saidPart(telling: Telling): Markup {
  const { say: told, said } = telling;
  const last = lastOf(said);
  return html`<div>
    <h4>${told('record.said.caption')}</h4>
    ${last.length === 0 ? html`<p>${told('record.said.nothing')}</p>` : null}
    ${last.map((text) => saidLine(text, telling))}
  </div>`;
}

/** What people said in their own words tells a reader more than what the program asks every hour. */
function lastOf(said: readonly SaidText[]): SaidText[] {
  const own = said.filter(({ by, text }) => by !== 'palmward' && !isBareAnswer(text)).slice(-LAST_SAID);
  const others = said.filter((each) => !own.includes(each)).slice(own.length - LAST_SAID);
  const told = own.length < LAST_SAID ? [...own, ...others] : own;
  return said.filter((each) => told.includes(each));
}

/** Counts, numbered answers and single words such as "DONE" say nothing that stands nowhere else. */
const isBareAnswer = (text: string | null): boolean =>
  text !== null && text.length < 16 && !/\p{L}{2}\P{L}+\p{L}{2}/u.test(text);

function saidLine({ at, by, text }: SaidText, telling: Telling): Markup {
  const who = telling.say(`record.said.${by}`, { time: momentOf(telling, at) });
  const words = text === null ? telling.say('record.said.deleted') : shorten(text, LONGEST_SAID);
  return html`<p class="said"><strong>${who}</strong> <bdi>${words}</bdi></p>`;
}

function openPart(telling: Telling): Markup {
  return html`<div>
    <h4>${telling.say('record.open.caption')}</h4>
    <ul>
      ${openMatters(telling).map((matter) => html`<li>${matter}</li>`)}
    </ul>
  </div>`;
}
