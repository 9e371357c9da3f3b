// The frame of the chat and phone pages, and the parts both have: lines, answers to tap, the field to write in.
import { html, type Markup } from '../wording/markup.ts';
import type { Option, Spoken } from './spoken.ts';
import type { Words } from './words.ts';

/** Whom a page speaks to. */
export interface Reader {
  words: Words;
  language: string;
}

export const say = (reader: Reader, key: string, params?: Record<string, string | number>): string =>
  reader.words.say(reader.language, `pages.${key}`, params);

/** `icon`: what a browser shows for the page, and what it needs to install it; without, it asks for none. */
export function frame(
  reader: Reader,
  title: string,
  body: Markup,
  script: string | null,
  icon: Markup = html`<link rel="icon" href="data:," />`,
): string {
  const { language, words } = reader;
  const page = html`<!doctype html>
    <html lang="${language}" dir="${words.direction(language)}">
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width,initial-scale=1" />
      <title>${title}</title>
      ${icon}
      <link rel="stylesheet" href="/style.css" />
      ${script === null ? null : html`<script src="${script}" defer></script>`} ${body}
    </html>`;
  return page.markup;
}

/** Where a form goes, and what goes along with it unseen. */
export interface Form {
  action: string;
  hidden: Record<string, string>;
}

const hidden = (fields: Record<string, string>): Markup[] =>
  Object.entries(fields).map(
    ([name, value]) => html`<input type="hidden" name="${name}" value="${value}" />`,
  );

/** One text. Its direction is its own: a passed-on text may be in another script than the page. */
export function lineOf(reader: Reader, spoken: Spoken, foot: Markup | null = null): Markup {
  const who = spoken.from === 'clinician' ? html`<b>${say(reader, 'talk.clinician')}</b> ` : null;
  const text = spoken.text ?? say(reader, 'talk.deleted');
  return html`<p class="${spoken.direction}" data-line="${spoken.line}">${who}<bdi>${text}</bdi>${foot}</p>`;
}

/** What a question offers to tap. */
interface Offer {
  options: readonly Option[];
  /** Several may be true at once: boxes to mark in place of buttons. */
  several: boolean;
  intro: string | null;
}

/** The place of the answers to tap. `watched` is what else stands now. */
export function answers(
  reader: Reader,
  form: Form,
  { options, several, intro }: Offer,
  watched: Markup | null = null,
): Markup {
  const choices = options.map((option) =>
    several
      ? html`<label class="big"
          ><input type="checkbox" name="text" value="${option.send}" /> <bdi>${labelOf(option)}</bdi></label
        >`
      : html`<button class="${intro === null ? 'big' : 'main big'}" name="text" value="${option.send}">
          <bdi>${labelOf(option)}</bdi>
        </button>`,
  );
  const done = several ? html`<button class="main">${say(reader, 'talk.send-all')}</button>` : null;
  const tapped = html`<form method="post" action="${form.action}" data-live>
    ${hidden(form.hidden)}${choices}${done}
  </form>`;
  return html`<div id="answers">
    ${watched}${intro === null ? null : html`<p>${intro}</p>`}${options.length ? tapped : null}
  </div>`;
}

/** The number stays visible: it is what a phone without buttons would send. */
const labelOf = ({ send, says }: Option): string => (/^\d/.test(send) ? `${send} ${says}` : says);

/** The field to write in, for what no button says. */
export function writing(reader: Reader, form: Form): Markup {
  return html`<form id="say" method="post" action="${form.action}" data-live>
    ${hidden(form.hidden)}
    <label for="text">${say(reader, 'talk.label')}</label>
    <div class="row">
      <input id="text" name="text" required maxlength="1600" autocomplete="off" enterkeyhint="send" />
      <button class="main">${say(reader, 'talk.send')}</button>
    </div>
    <p
      id="note"
      role="status"
      data-offline="${say(reader, 'talk.offline')}"
      data-again="${say(reader, 'talk.not-stored')}. ${say(reader, 'talk.send-again')}."
      data-sending="${say(reader, 'talk.sending')}"
      data-all="${say(reader, 'talk.send-all')}"
    ></p>
  </form>`;
}

/** The conversation. New lines are read out as they come. */
export function log(reader: Reader, feed: string, lines: readonly Markup[]): Markup {
  return html`<div
    id="log"
    role="log"
    aria-live="polite"
    aria-label="${say(reader, 'talk.log')}"
    data-feed="${feed}"
  >
    ${lines}
  </div>`;
}

/** The page after a text that could not be stored: the same text, the same nonce, one button to try again. */
export function notStored(reader: Reader, form: Form, text: string): string {
  const body = html`<main>
    <h1>${say(reader, 'talk.not-stored')}</h1>
    <p>${say(reader, 'talk.not-stored-why')}</p>
    <form method="post" action="${form.action}">
      ${hidden({ ...form.hidden, text })} <button class="main">${say(reader, 'talk.send-again')}</button>
    </form>
  </main>`;
  return frame(reader, say(reader, 'talk.not-stored'), body, null);
}
