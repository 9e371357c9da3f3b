// What one case's page is made of, and the small parts that its sections share: names, moments, words that may be older.
import type { Ledger } from '../../ledger/port.ts';
import { momentOf } from '../../record/moments.ts';
import type { Recorded, Telling } from '../../record/recorded.ts';
import { tellIn } from '../../record/tell.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type Reader, type Sitting, when } from '../desk.ts';
import type { Clinician, Instant, KeptText } from '../kept.ts';

export type CaseEvent = Awaited<ReturnType<Ledger['events']>>[number]['event'];
export type ChainedDeed = Awaited<ReturnType<Ledger['deedsAbout']>>[number];

/** A case as one clinician looks at it. */
export interface CaseView {
  reader: Reader;
  sitting: Sitting;
  /** The reader's id. */
  me: string;
  telling: Telling;
  /** Everything said in it, oldest first. */
  texts: readonly KeptText[];
  events: readonly CaseEvent[];
  /** What was seen and done at the desk about it, oldest first. */
  deeds: readonly ChainedDeed[];
  clinicians: readonly Clinician[];
  /** What waits for the clinician who holds the case, in the helper's language. */
  held: readonly { id: number; texts: readonly string[] }[];
}

/** A case may be older than the words: one that is gone is said by its key's last part, and the page still opens. */
export function tellCase(recorded: Recorded, language: string): Telling {
  const telling = tellIn(recorded, language);
  const { words } = recorded.protocol;
  return {
    ...telling,
    say: (key, params) =>
      words.has(key) ? telling.say(key, params) : key.slice(key.lastIndexOf('.') + 1).replaceAll('-', ' '),
  };
}

/** Words of this page, from `casework.yaml`. */
export const work = (
  { words, language }: Reader,
  key: string,
  params?: Record<string, string | number>,
): string => words.say(language, `casework.${key}`, params);

/** The clinician's name; one who left the rota is told by the id. */
export const nameOf = ({ clinicians }: Pick<CaseView, 'clinicians'>, id: string): string =>
  clinicians.find((each) => each.id === id)?.name ?? id;

/** The moment in local time, and how far away it is. */
export const moment = ({ reader, telling }: Pick<CaseView, 'reader' | 'telling'>, at: Instant): Markup =>
  html`${momentOf(telling, at)} (${when(reader, at)})`;

/** A part of the page. `live`: the script replaces it when its mark is another; `still`: only where nothing was touched. */
export function part(of: {
  id: string;
  title: string;
  body: Markup | null;
  look: string;
  kind: 'live' | 'still';
  mark: string;
}): Markup {
  const { id, title, body, look, kind, mark } = of;
  const isEmpty = body === null || body.markup.trim() === '';
  return html`<section
    id="${id}"
    class="${look}"
    data-${kind}="${mark}"
    aria-labelledby="${id}-title"
    ${isEmpty ? html`hidden` : null}
  >
    <h3 id="${id}-title" tabindex="-1">${title}</h3>
    ${body}
  </section>`;
}

export function list(lines: readonly Markup[], look = ''): Markup {
  return html`<ul class="${look}">
    ${lines.map((line) => html`<li>${line}</li>`)}
  </ul>`;
}
