// What the routes of the chat and the practice phone have in common: taking a text, and sending what is new.
import type { Request, Response } from 'express';
import { type Form, notStored, type Reader } from '../channels/page.ts';
import { chooseLanguage } from '../channels/words.ts';
import type { KeptText } from '../duty/kept.ts';
import { fieldOf, isToken } from './forms.ts';
import { networkOf } from './network.ts';
import type { ServerParts } from './parts.ts';
import { send, squeeze, type Squeezed } from './squeeze.ts';

/** One way to talk to us by a page. */
export interface Talk {
  address: string;
  /** What a sent form carries besides its text. */
  form: (nonce: string) => Form;
  /** Where a browser without script goes after sending. */
  back: string;
  reader: Reader;
  fragment: (thread: readonly KeptText[], after: number) => Promise<string | null>;
}

/** The language the contact is spoken to in; for a new one what it asked for, or what its browser prefers. */
export async function readerOf(
  parts: ServerParts,
  request: Request,
  address: string | null,
  asked: string | null,
): Promise<Reader> {
  const { words } = parts;
  const known = address && (await parts.languageOf(address));
  const accepted = request.get('accept-language') ?? '';
  return { words, language: chooseLanguage(words.languages, known ?? asked, accepted) };
}

/**
 * Takes a sent form. Its nonce is the message's id: a double tap, a reload or a second try is a repeat. Other words under the
 * same one were written after an answer got lost: they are given back to be sent again, and never dropped.
 */
export async function takeText(
  parts: ServerParts,
  talk: Talk,
  request: Request,
  response: Response,
): Promise<void> {
  const nonce = fieldOf(request, 'nonce');
  const text = fieldOf(request, 'text');
  if (!isToken(nonce))
    return void response
      .status(400)
      .type('text/plain')
      .send(`${malformed(talk)}\n`);
  const id = `${talk.address}:${nonce}`;
  const { address, reader } = talk;
  // A practice phone is a phone: its first words choose the language, as by SMS. A page was opened in one.
  const network = networkOf(request);
  const chosen = address.startsWith('chat:')
    ? { language: reader.language, ...(network === undefined ? {} : { network }) }
    : {};
  const after = request.get('x-after');
  try {
    const { repeat } = await parts.receive({ id, address, text, pictures: 0, ...chosen });
    if (repeat && (await isAnother(parts, address, text))) {
      if (after !== undefined) return sayAgain(response);
      // A number answers what was asked then: a page without script shows what is asked now, as after a double tap.
      if (!/^\s*\d{1,2}\s*$/.test(text))
        return void response
          .status(409)
          .type('html')
          .send(notStored(reader, talk.form(parts.randomToken()), text));
    }
  } catch (fault) {
    parts.log.error({ fault: fault instanceof Error ? fault.name : 'unknown' }, 'not stored');
    return void response
      .status(503)
      .type('html')
      .send(notStored(reader, talk.form(nonce), text));
  }
  if (after === undefined) return response.redirect(303, talk.back);
  return sendNews(parts, talk, Number(after) || 0, request, response);
}

/** To the script: the words were not taken. No fault, which browsers would write into their console. */
function sayAgain(response: Response): void {
  response.setHeader('x-again', 'yes');
  sayNothing(response);
}

/** Whether a repeat says something else than the text that was taken under its id, which is the newest. */
async function isAnother({ ledger }: ServerParts, address: string, text: string): Promise<boolean> {
  const taken = (await ledger.thread(address, 0)).findLast(({ direction }) => direction === 'in');
  return taken !== undefined && taken.text !== null && taken.text.trim() !== text.trim();
}

/** The lines since `after` as a fragment; 204 when there are none. */
export async function sendNews(
  parts: ServerParts,
  talk: Talk,
  after: number,
  request: Request,
  response: Response,
): Promise<void> {
  const news = await parts.ledger.thread(talk.address, after);
  if (!news.length) return sayNothing(response);
  // The answers to tap depend on the whole conversation; it is only read when there is something new.
  const thread = after > 0 ? await parts.ledger.thread(talk.address, 0) : news;
  const fitting = await fittingIn(talk, thread, news.length, after, request);
  if (fitting.left > 0) response.setHeader('x-more', fitting.left);
  send(response, fitting.squeezed);
}

/** A turn is short enough for a weak signal. The page asks for the rest at once: the first text of a plan is safe alone. */
async function fittingIn(
  talk: Talk,
  thread: readonly KeptText[],
  fresh: number,
  after: number,
  request: Request,
): Promise<{ squeezed: Squeezed; left: number }> {
  for (let left = 0; ; left += 1) {
    const shown = left === 0 ? thread : thread.slice(0, -left);
    const squeezed = await squeeze(request, (await talk.fragment(shown, after)) ?? '');
    // What somebody wrote goes with at least the first text of the answer to it; what was missed for long goes whole.
    const isWhole = fresh > MOST_LINES || fresh - left <= 2;
    if (squeezed.bytes.length < MOST_BYTES || isWhole) return { squeezed, left };
  }
}

/** Asked every few seconds on a weak signal: the rules about a page's contents are left out where there is none. */
function sayNothing(response: Response): void {
  for (const name of response.getHeaderNames()) if (!SAID_WITH_NOTHING.has(name)) response.removeHeader(name);
  response.status(204).end();
}

/** Of an answer, as it goes over the wire: with what was sent a turn stays under 600. */
const MOST_BYTES = 540;
/** More than one turn ever says: what was missed is caught up with at once. */
const MOST_LINES = 8;

const SAID_WITH_NOTHING = new Set(['cache-control', 'set-cookie', 'x-again']);

const malformed = ({ reader }: Talk): string => reader.words.say(reader.language, 'pages.fault.malformed');
