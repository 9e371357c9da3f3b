// The practice phone as a page: texts without an account, each with what it would cost on a real network.
import { foldForSms } from '../../wording/fold.ts';
import { measure } from '../../wording/parts.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type Form, frame, lineOf, log, type Reader, say, writing } from '../page.ts';
import type { Spoken } from '../spoken.ts';

export interface Phone {
  reader: Reader;
  /** A reserved number in E.164 form. */
  number: string;
  thread: readonly Spoken[];
  nonce: string;
  /** An assumption, in no currency: real prices differ by country and contract. */
  pricePerPart: number;
}

export function phonePage(phone: Phone): string {
  const { reader, number, thread } = phone;
  const feed = `/phone/lines?number=${encodeURIComponent(number)}`;
  const body = html`<header>
      <h1>${say(reader, 'phone.title')} <bdi>${number}</bdi></h1>
      <p>${say(reader, 'phone.caution')}</p>
    </header>
    <main>
      ${log(
        reader,
        feed,
        thread.map((spoken) => screenLine(phone, spoken)),
      )}
      ${nothingToTap(reader, thread)} ${writing(reader, phoneForm(number, phone.nonce))}
      <div id="end"></div>
    </main>
    <footer>
      ${chooser(reader, number)}
      <p>${say(reader, 'phone.assumption', { price: String(phone.pricePerPart) })}</p>
    </footer>`;
  return frame(reader, `${say(reader, 'phone.title')} ${number}`, body, '/phone.js');
}

/** The lines after `after`; null when nothing was said since. */
export function phoneFragment(phone: Omit<Phone, 'nonce'>, after: number): string | null {
  const lines = phone.thread
    .filter((spoken) => spoken.line > after)
    .map((spoken) => screenLine(phone, spoken));
  return lines.length ? html`${lines}${nothingToTap(phone.reader, phone.thread)}`.markup : null;
}

/** Shown when no number was given, and when the given one might belong to somebody. */
export function chooserPage(reader: Reader, refused: boolean): string {
  const body = html`<main>
    <h1>${say(reader, 'phone.title')}</h1>
    <p>${say(reader, 'phone.caution')}</p>
    ${refused ? html`<p role="alert"><strong>${say(reader, 'phone.refused')}</strong></p>` : null}
    ${chooser(reader, '+12025550101')}
  </main>`;
  return frame(reader, say(reader, 'phone.title'), body, null);
}

export function phoneForm(number: string, nonce: string): Form {
  return { action: '/phone', hidden: { nonce, number } };
}

/** A plain phone has no buttons for answers. */
const nothingToTap = (reader: Reader, thread: readonly Spoken[]): Markup =>
  html`<div id="answers">${thread.length ? null : html`<p>${say(reader, 'phone.empty')}</p>`}</div>`;

function screenLine({ reader, pricePerPart }: Omit<Phone, 'nonce'>, spoken: Spoken): Markup {
  if (spoken.text === null) return lineOf(reader, spoken);
  const text = foldForSms(spoken.text);
  const { characters, parts, encoding } = measure(text);
  const cost = (parts * pricePerPart).toFixed(2);
  const figures = { characters, count: parts, encoding: encoding === 'gsm7' ? 'GSM-7' : 'UCS-2', cost };
  return lineOf(reader, { ...spoken, text }, html`<small>${say(reader, 'phone.figures', figures)}</small>`);
}

function chooser(reader: Reader, number: string): Markup {
  return html`<form method="get" action="/phone">
    <label for="number">${say(reader, 'phone.other')}</label>
    <div class="row">
      <input id="number" name="number" type="tel" required value="${number}" autocomplete="off" />
      <button>${say(reader, 'phone.open')}</button>
    </div>
    <p>${say(reader, 'phone.which')}</p>
  </form>`;
}
