// The texts that another version of the protocol says otherwise: each with its words before and now, and the changed ones
// marked, for the eye and for the ear.
import type { Change } from '../../vet/changes.ts';
import { changedWords, type Piece } from '../../wording/changed-words.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { facts, type Reader } from '../desk.ts';

/** A new language changes every text there is. *Choice*: more than anybody reads. */
const MOST_SHOWN = 200;

const tell = ({ words, language }: Reader, key: string, params?: Record<string, number>): string =>
  words.say(language, `protocol.${key}`, params);

export function changedTexts(reader: Reader, changes: readonly Change[]): Markup {
  const more = changes.length - MOST_SHOWN;
  return html`<div class="cards">${changes.slice(0, MOST_SHOWN).map((one) => changedText(reader, one))}</div>
    ${more > 0 ? html`<p>${tell(reader, 'more', { count: more })}</p>` : null}`;
}

function changedText(reader: Reader, { name, before, after }: Change): Markup {
  // Names begin with the language, by which a voice reads the words.
  const [language = ''] = name.split(' ');
  const said = (pieces: Markup) => html`<span class="said" lang="${language}" dir="auto">${pieces}</span>`;
  const was = before === null || after === null ? null : changedWords(before, after);
  const side = (whole: string | null, pieces: Piece[] | undefined, mark: 'gone' | 'put') =>
    whole === null
      ? tell(reader, 'not-there')
      : said(html`${(pieces ?? [{ kind: 'changed', text: whole }]).map((one) => marked(reader, one, mark))}`);
  return html`<section class="card">
    <h4>${name}</h4>
    ${facts([
      [tell(reader, 'before'), side(before, was?.before, 'gone')],
      [tell(reader, 'now'), side(after, was?.after, 'put')],
    ])}
  </section>`;
}

/** Many voices say nothing of `del` and `ins`, so the marks are words as well, in the page's own language. */
function marked(reader: Reader, { kind, text }: Piece, mark: 'gone' | 'put'): Markup {
  if (kind === 'left-out') return html`… `;
  if (kind === 'same') return html`${text}`;
  const [words, space] = [text.trimEnd(), text.slice(text.trimEnd().length)];
  const heard = (told: string) => html`<span class="unseen" lang="${reader.language}">${told}</span>`;
  const [begin, end] = [heard(`(${tell(reader, mark)}) `), heard(` (${tell(reader, 'end')})`)];
  return mark === 'gone'
    ? html`<del>${begin}${words}${end}</del>${space}`
    : html`<ins>${begin}${words}${end}</ins>${space}`;
}
