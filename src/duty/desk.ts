// The frame of the desk's pages, and the small parts they share: facts, terms, times.
import type { Signature } from '../clinical/signature.ts';
import type { Catalogues } from '../wording/catalogue.ts';
import type { Instant } from './kept.ts';
import { html, type Markup } from '../wording/markup.ts';

export type { Signature };

/** Who reads a page, and when. */
export interface Reader {
  words: Pick<Catalogues, 'say' | 'has' | 'direction'>;
  language: string;
  /** On the cases' clock. */
  now: Instant;
}

/** The clinician who sits at the desk, as far as its pages show. */
export interface Sitting {
  name: string;
  formToken: string;
}

export const say = (reader: Reader, key: string, params?: Record<string, string | number>): string =>
  reader.words.say(reader.language, `pages.duty.${key}`, params);

/** A term that the catalogue may put in words, under a key that others own; else its id, which clinicians can read. */
export const term = ({ words, language }: Reader, key: string, id: string): string =>
  words.has(`${key}.${id}`) ? words.say(language, `${key}.${id}`) : id;

/** `style`: a file besides the one of all pages. */
export function frame(reader: Reader, sitting: Sitting | null, main: Markup, style?: string): string {
  const title = say(reader, 'title');
  return html`<!doctype html>
    <html lang="${reader.language}" dir="${reader.words.direction(reader.language)}">
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width,initial-scale=1" />
      <title>${title}</title>
      <link rel="icon" href="data:," />
      <link rel="stylesheet" href="/style.css" />
      <link rel="stylesheet" href="/duty.css" />
      ${style === undefined ? null : html`<link rel="stylesheet" href="${style}" />`}
      <body class="duty">
        <header>
          <h1>${title}</h1>
          ${sitting && rooms(reader)}${sitting && signOut(reader, sitting)}
        </header>
        <main>${main}</main>
      </body>
    </html>`.markup;
}

/** The rooms of the desk: the key of each one's name, and where it is. */
const ROOMS = [
  ['pages.duty.cases', '/duty'],
  ['figures.name', '/duty/figures'],
  ['protocol.name', '/duty/protocol'],
] as const;

function rooms({ words, language }: Reader): Markup {
  return html`<nav class="row">
    ${ROOMS.map(([key, path]) => html`<a href="${path}">${words.say(language, key)}</a>`)}
  </nav>`;
}

function signOut(reader: Reader, { name, formToken }: Sitting): Markup {
  return html`<form method="post" action="/duty/sign-out" class="row">
    <input type="hidden" name="token" value="${formToken}" />
    <span><bdi>${say(reader, 'signed-in', { name })}</bdi></span>
    <button>${say(reader, 'sign-out')}</button>
  </form>`;
}

/** A list of facts, each with its name. */
export function facts(rows: readonly (readonly [string, string | Markup])[]): Markup {
  return html`<dl>
    ${rows.map(
      ([name, value]) =>
        html`<div>
          <dt>${name}</dt>
          <dd>${value}</dd>
        </div>`,
    )}
  </dl>`;
}

const UNITS = [
  ['day', 24 * 60 * 60_000],
  ['hour', 60 * 60_000],
  ['minute', 60_000],
] as const;

/** How long ago, or in how long; the exact moment is in the markup. */
export function when({ language, now }: Reader, at: Instant): Markup {
  const away = at - now;
  const [unit, size] = UNITS.find(([, length]) => Math.abs(away) >= length * 2) ?? UNITS[2];
  const words = new Intl.RelativeTimeFormat(language, { style: 'short' });
  return html`<time datetime="${new Date(at).toISOString()}"
    >${words.format(Math.round(away / size), unit)}</time
  >`;
}

/** Whether a keeper signed the protocol in force; a signature of another version counts for nothing, and is said to. */
export function signed(reader: Reader, signature: Signature): string {
  if (signature.state === 'unsigned') return say(reader, 'unsigned');
  const { by, on, version } = signature;
  return signature.state === 'signed'
    ? say(reader, 'signed', { by, on })
    : say(reader, 'signed-other', { by, version });
}
