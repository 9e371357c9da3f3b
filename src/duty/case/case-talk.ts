// The conversation of a case: who said what to whom, how far each text came, and what a clinician wrote marked as theirs.
import { foldForSms } from '../../wording/fold.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { measure } from '../../wording/parts.ts';
import { type CaseView, moment, nameOf, work } from './case-view.ts';
import type { KeptText } from '../kept.ts';

/** Texts that are seen at once; those before them are one press away. *Choice*: what a phone shows without much scrolling. */
const SEEN_AT_ONCE = 6;
/** Wires on which a text is cut into parts and paid for. */
const PAID = ['sms', 'phone'];

/** With the helper first: the texts that ring clinicians at night would drown it. */
export function talkPart(view: CaseView): Markup {
  const { reader, texts } = view;
  const [withHelper, others] = [true, false].map((is) =>
    texts.filter((text) => isWithHelper(view, text) === is),
  );
  if (!withHelper?.length) return html`<p>${work(reader, 'talk.none')}</p>`;
  return html`${folded(view, 'earlier', withHelper.slice(0, -SEEN_AT_ONCE))}
    <div class="talk">${withHelper.slice(-SEEN_AT_ONCE).map((text) => line(view, text))}</div>
    ${folded(view, 'to-clinicians', others ?? [])}`;
}

function folded(view: CaseView, key: string, texts: readonly KeptText[]): Markup | null {
  if (texts.length === 0) return null;
  return html`<details id="${key}">
    <summary>${work(view.reader, `talk.${key}`, { count: texts.length })}</summary>
    <div class="talk">${texts.map((text) => line(view, text))}</div>
  </details>`;
}

/** Once forgotten a helper has no address any more. */
const isWithHelper = ({ telling }: CaseView, { address, key }: KeptText): boolean =>
  key === 'handover' || address === telling.case.contact || address === '';

function line(view: CaseView, kept: KeptText): Markup {
  const { telling } = view;
  const text = kept.text ?? telling.say('record.said.deleted');
  const look = [
    kept.direction,
    kept.from === 'clinician' ? 'theirs' : '',
    FAILED.includes(kept.state) ? 'lost' : '',
  ];
  return html`<div class="${look.filter(Boolean).join(' ')}">
    <p class="who"><b>${whoSaid(view, kept)}</b> ${moment(view, kept.at)}</p>
    <p class="said"><bdi>${text}</bdi></p>
    ${kept.direction === 'out' ? html`<p class="state">${stateOf(view, kept)}</p>` : null}
  </div>`;
}

const FAILED = ['failed', 'dropped'];

function whoSaid(view: CaseView, kept: KeptText): string {
  const { reader } = view;
  const withHelper = isWithHelper(view, kept);
  const clinician = view.clinicians.find(({ number }) => kept.address.endsWith(`:${number}`));
  const name = clinician ? nameOf(view, clinician.id) : work(reader, 'talk.a-clinician');
  if (kept.direction === 'in') return withHelper ? work(reader, 'talk.helper') : name;
  if (kept.key === 'handover') return work(reader, 'talk.to-facility');
  if (kept.from === 'clinician') return work(reader, 'talk.from-clinician');
  return work(reader, withHelper ? 'talk.to-helper' : 'talk.to-clinician', { name });
}

/** How far it came, in words, and what it costs where texts are paid for. */
function stateOf({ reader }: CaseView, { state, address, text }: KeptText): string {
  const wire = address.split(':')[0] ?? '';
  const came = state === 'kept' ? `kept-${wire}` : state;
  const known = reader.words.has(`casework.state.${came}`);
  const words = known ? work(reader, `state.${came}`) : state;
  if (text === null || !PAID.includes(wire)) return words;
  const { parts } = measure(foldForSms(text));
  return `${words} · ${work(reader, 'parts', { count: parts })}`;
}
