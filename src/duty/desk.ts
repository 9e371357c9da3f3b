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
  /** The path of the page, by which its room is marked; absent where it is none of the desk's rooms. */
  at?: string;
}

/** What a page may have beside what all have. */
interface Page {
  /** Names the page in tabs and aloud; else its first heading does. */
  title?: string;
  /** A file besides those of all pages. */
  style?: string;
  script?: string;
}

export const say = (reader: Reader, key: string, params?: Record<string, string | number>): string =>
  reader.words.say(reader.language, `pages.duty.${key}`, params);

/** A term that the catalogue may put in words, under a key that others own; else its id, which clinicians can read. */
export const term = ({ words, language }: Reader, key: string, id: string): string =>
  words.has(`${key}.${id}`) ? words.say(language, `${key}.${id}`) : id;

/** `page`: as a string, only its own style. */
export function frame(
  reader: Reader,
  sitting: Sitting | null,
  main: Markup,
  page: string | Page = {},
): string {
  const { title = headingOf(main), style, script } = typeof page === 'string' ? { style: page } : page;
  const name = say(reader, 'title');
  return html`<!doctype html>
    <html lang="${reader.language}" dir="${reader.words.direction(reader.language)}">
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width,initial-scale=1" />
      <title>${title === null ? null : html`${title} – `}${name}</title>
      <link rel="icon" href="data:," />
      <link rel="stylesheet" href="/style.css" />
      <link rel="stylesheet" href="/duty.css" />
      ${style === undefined ? null : html`<link rel="stylesheet" href="${style}" />`}
      ${script === undefined ? null : html`<script src="${script}" defer></script>`}
      <body class="duty">
        <a href="#main" class="skip">${say(reader, 'skip')}</a>
        <header>
          <h1>${name}</h1>
          ${sitting && rooms(reader, sitting)}${sitting && signOut(reader, sitting)}
        </header>
        <main id="main" tabindex="-1">${main}</main>
      </body>
    </html>`.markup;
}

/** The rooms of the desk: the key of each one's name, and where it is. */
const ROOMS = [
  ['pages.duty.cases', '/duty'],
  ['rota.title', '/duty/rota'],
  ['figures.name', '/duty/figures'],
  ['protocol.name', '/duty/protocol'],
] as const;

function rooms(reader: Reader, { at }: Sitting): Markup {
  const { words, language } = reader;
  // The desk's own path begins that of every other room.
  const inside = ROOMS.filter(([, path]) => at === path || at?.startsWith(`${path}/`));
  const here = Math.max(...inside.map(([, path]) => path.length));
  const mark = (path: string) => (at === path ? html`aria-current="page"` : html`aria-current="true"`);
  return html`<nav class="row" aria-label="${say(reader, 'rooms')}">
    ${ROOMS.map(
      ([key, path]) =>
        html`<a href="${path}" ${path.length === here ? mark(path) : null}>${words.say(language, key)}</a>`,
    )}
  </nav>`;
}

/** A page without a title of its own is called by its first heading. */
function headingOf({ markup }: Markup): Markup | null {
  const inner = /<h2[^>]*>([^]*?)<\/h2>/.exec(markup)?.[1];
  return inner === undefined ? null : { markup: inner.replace(/<[^>]*>/g, '').trim() };
}

function signOut(reader: Reader, { name, formToken }: Sitting): Markup {
  return html`<form method="post" action="/duty/sign-out" class="row">
    <input type="hidden" name="token" value="${formToken}" />
    <span><bdi>${say(reader, 'signed-in', { name })}</bdi></span>
    <button class="small">${say(reader, 'sign-out')}</button>
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

/** Words for how far away a moment is, from milliseconds; one that went by is negative. */
export function awayIn(language: string): (away: number) => string {
  const words = new Intl.RelativeTimeFormat(language, { style: 'short', numeric: 'auto' });
  return (away) => {
    const [unit, size] = UNITS.find(([, length]) => Math.abs(away) >= length * 2) ?? UNITS[2];
    return words.format(Math.round(away / size), unit);
  };
}

/** How long ago, or in how long; the exact moment is in the markup. */
export function when({ language, now }: Reader, at: Instant): Markup {
  return html`<time datetime="${new Date(at).toISOString()}">${awayIn(language)(at - now)}</time>`;
}

/** Whether a keeper signed the protocol in force; a signature of another version counts for nothing, and is said to. */
export function signed(reader: Reader, signature: Signature): string {
  if (signature.state === 'unsigned') return say(reader, 'unsigned');
  const { by, on, version } = signature;
  return signature.state === 'signed'
    ? say(reader, 'signed', { by, on })
    : say(reader, 'signed-other', { by, version });
}
