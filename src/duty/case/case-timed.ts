// What is timed next in a case: every timer set, the soonest first, in words.
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseView, list, moment, work } from './case-view.ts';

export function timedPart(view: CaseView): Markup {
  const { reader, telling } = view;
  const timers = Object.entries(telling.case.timers).toSorted(([, one], [, other]) => one - other);
  if (timers.length === 0) return html`<p>${work(reader, 'timer.none')}</p>`;
  return list(timers.map(([name, at]) => html`${timerInWords(view, name)}: ${moment(view, at)}`));
}

function timerInWords({ reader }: CaseView, name: string): string {
  return reader.words.has(`casework.timer.${name}`) ? work(reader, `timer.${name}`) : name;
}
