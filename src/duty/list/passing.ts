// Times in a row of the live list: told as how far away they are, which changes all the time, so they are filled in last
// and count for nothing in whether a row has changed.
import type { Reader } from '../desk.ts';
import { awayIn, say } from '../desk.ts';
import type { Instant } from '../kept.ts';
import { html, type Markup } from '../../wording/markup.ts';

/** Stands for the time while a sentence of the catalogue is taken apart at it. */
const GAP = '\u0001';
const EMPTY = /(<time datetime="([^"]+)">)(?=<\/time>)/g;

/** A sentence with `{{when}}` in it, with an empty time there. */
export function sayAt(reader: Reader, key: string, at: Instant): Markup {
  const [before = '', after = ''] = say(reader, key, { when: GAP }).split(GAP);
  return html`${before}<time datetime="${new Date(at).toISOString()}"></time>${after}`;
}

/** Fills in every empty time, as of the reader's moment. The desk's script does the same later on. */
export function fillTimes({ language, now }: Reader, markup: string): string {
  const away = awayIn(language);
  return markup.replace(EMPTY, (_all, opening: string, iso: string) => opening + away(Date.parse(iso) - now));
}
