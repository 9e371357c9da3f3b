// What can be learned from many cases: each table drawn as bars, with its numbers beside them. Nobody is in it.
import {
  FEWEST,
  FEWEST_FOR_TENTH,
  type Figures,
  shownOf,
  type Shown,
  TABLES,
  totalShown,
} from '../../record/figures.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { frame, type Reader, type Sitting } from '../desk.ts';
import {
  cellName,
  costWords,
  figureWords,
  hours,
  SPANS,
  shownWords,
  type Span,
  tell,
} from './figures-words.ts';

export type { Figures };

export interface ShownFigures {
  figures: Figures;
  span: Span;
  /** In no currency. */
  pricePerPart: number;
  /** Whether cases are still to be counted. */
  isBehind: boolean;
}

export function figuresPage(reader: Reader, sitting: Sitting, shown: ShownFigures): string {
  const { figures, span, isBehind } = shown;
  return frame(
    reader,
    sitting,
    html`<h2>${tell(reader, 'title')}</h2>
      ${chooser(reader, span)}
      <p>${tell(reader, 'cases')}: <strong>${shownWords(reader, totalShown(figures))}</strong></p>
      ${isBehind ? html`<p>${tell(reader, 'behind')}</p>` : null}
      <p>${tell(reader, 'nobody', { fewest: FEWEST })}</p>
      <div class="cards">${TABLES.map((name) => section(reader, name, shown))}</div>`,
    '/figures.css',
  );
}

function chooser(reader: Reader, span: Span): Markup {
  return html`<form method="get" action="/duty/figures" class="row">
    <label for="weeks">${tell(reader, 'span')}</label>
    <select id="weeks" name="weeks">
      ${SPANS.map(
        (each) =>
          html`<option value="${each}" ${each === span ? { markup: 'selected' } : null}>
            ${tell(reader, 'weeks-long', { count: each })}
          </option>`,
      )}
    </select>
    <button>${tell(reader, 'show')}</button>
    <a href="/duty/figures.csv?weeks=${span}">${tell(reader, 'csv')}</a>
  </form>`;
}

function section(reader: Reader, name: (typeof TABLES)[number], shown: ShownFigures): Markup {
  const cells = shown.figures.tables[name];
  return html`<section class="card">
    <h3 id="t-${name}">${tell(reader, `table.${name}`)}</h3>
    ${cells.length === 0 ? html`<p>${tell(reader, 'empty')}</p>` : bars(reader, name, shown)}
    ${NOTES[name]?.(reader, shown) ?? null}
  </section>`;
}

/** What is told with a table besides its counts. */
const NOTES: Partial<Record<(typeof TABLES)[number], (reader: Reader, shown: ShownFigures) => Markup>> = {
  accepted: (reader, { figures: { accepted } }) =>
    html`<p>${tell(reader, 'median')}: ${hours(reader, accepted.median, FEWEST)}</p>
      <p>${tell(reader, 'ninety')}: ${hours(reader, accepted.ninety, FEWEST_FOR_TENTH)}</p>`,
  parts: (reader, { figures, pricePerPart }) =>
    html`<ul>
        ${figures.partsPerCase.map((one) => html`<li>${costWords(reader, one, pricePerPart)}</li>`)}
      </ul>
      <p>${tell(reader, 'price', { price: String(pricePerPart) })}</p>
      ${figures.uncounted === 0 ? null : html`<p>${tell(reader, 'uncounted')}</p>`}`,
};

function bars(reader: Reader, name: (typeof TABLES)[number], { figures }: ShownFigures): Markup {
  const cells = figures.tables[name];
  const shown = shownOf(cells);
  const most = Math.max(1, ...shown.map((each) => (typeof each === 'number' ? each : 0)));
  return html`<table class="bars" aria-labelledby="t-${name}">
    <tr>
      <th scope="col">${figureWords(reader, name)}</th>
      <th scope="col">${tell(reader, `counted.${name}`)}</th>
    </tr>
    ${cells.map(
      (cell, at) =>
        html`<tr>
          <th scope="row">${cellName(reader, name, cell.name)}</th>
          <td>${bar(shown[at] ?? 0, most)}<span>${shownWords(reader, shown[at] ?? 0)}</span></td>
        </tr>`,
    )}
  </table>`;
}

/** The number beside it says the same: nothing for a screen reader. What is hidden has no length that could tell it. */
function bar(shown: Shown, most: number): Markup {
  const isHidden = typeof shown !== 'number';
  const width = isHidden ? 100 : (shown / most) * 100;
  return html`<svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" focusable="false">
    <rect class="${isHidden ? 'hidden' : 'full'}" width="${width.toFixed(1)}" height="10" />
  </svg>`;
}
