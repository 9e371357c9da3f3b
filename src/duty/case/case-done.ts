// Who did what about a case: what happened in it, and what was seen and done at the desk, which is written in a chain.
import { momentOf } from '../../record/moments.ts';
import { reasonKey } from '../../record/findings.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseEvent, type CaseView, type ChainedDeed, list, nameOf, work } from './case-view.ts';
import { say } from '../desk.ts';

export function donePart(view: CaseView): Markup {
  const { reader, telling, deeds } = view;
  const happened = [...eventLines(view), ...callLines(view)].toSorted((one, other) => other.at - one.at);
  return html`<h4>${work(reader, 'done.in-case')}</h4>
    ${happened.length ? list(happened.map(({ at, words }) => html`${momentOf(telling, at)}: ${words}`)) : html`<p>${work(reader, 'done.nothing')}</p>`}
    <h4>${work(reader, 'done.at-desk')}</h4>
    ${list(alike(deeds).map((deed) => html`${deedInWords(view, deed)}`))}
    <p>
      <small
        >${say(reader, 'events', { count: view.events.length })}. ${say(reader, 'version')}:
        <code>${telling.case.version}</code></small
      >
    </p>`;
}

interface Line {
  at: number;
  words: string;
}

function callLines({ reader, telling }: CaseView): Line[] {
  return telling.history.calls.map(({ at, reason }) => ({
    at,
    words: work(reader, 'done.called', { why: telling.say(`call.reason.${reasonKey(reason)}`) }),
  }));
}

function eventLines(view: CaseView): Line[] {
  return view.events.flatMap((event) => {
    const words = eventInWords(view, event);
    return words === null ? [] : [{ at: event.at, words }];
  });
}

/** Null for what the conversation and the checks show. */
function eventInWords(view: CaseView, event: CaseEvent): string | null {
  const { reader } = view;
  switch (event.kind) {
    case 'opened':
      return work(reader, 'done.opened');
    case 'clinician':
      return work(reader, `done.by-text.${event.act}`, { name: nameOf(view, event.clinician) });
    case 'handed-on':
      return work(reader, 'done.handed-on', { count: event.parts });
    case 'unreached':
      return work(reader, 'done.unreached', { name: nameOf(view, event.clinician) });
    case 'undelivered':
    case 'opted-out':
    case 'opted-in':
    case 'version-withdrawn':
    case 'forgotten':
      return work(reader, `done.${event.kind}`);
    default:
      return null;
  }
}

/** The same deed of the same person many times is told once, with how often and when last. */
function alike(deeds: readonly ChainedDeed[]): { last: ChainedDeed; times: number }[] {
  const groups = Map.groupBy(deeds, ({ who, did }) => `${who}\n${did}`);
  return [...groups.values()]
    .map((all) => ({ last: all.at(-1)!, times: all.length }))
    .toSorted((one, other) => other.last.seq - one.last.seq);
}

function deedInWords(view: CaseView, { last, times }: { last: ChainedDeed; times: number }): string {
  const { reader, telling } = view;
  const key = `did.${last.did.replaceAll(' ', '-')}`;
  const did = reader.words.has(`casework.${key}`) ? work(reader, key) : last.did;
  const time = momentOf(telling, last.at);
  return work(reader, 'done.deed', { name: nameOf(view, last.who), did, time, count: times });
}
