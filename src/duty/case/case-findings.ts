// The findings of a case in words: where, what is suspected, the wound, the cause, the signs, the person.
import { assessment } from '../../record/assessment.ts';
import { background } from '../../record/background.ts';
import { dangersOf, isSettled, suspectedOf, whereOf } from '../../record/findings.ts';
import type { Row } from '../../record/rows.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { type CaseView, list, work } from './case-view.ts';
import { facts } from '../desk.ts';

/** What the checks show by themselves stands there, and is not told twice. */
const IN_THE_CHECKS = ['count', 'feeling', 'pain', 'failed', 'loosened'];

export function findingsPart({ reader, telling }: CaseView): Markup {
  const { say, case: of } = telling;
  const suspected = of.plan ? suspectedOf(telling) : [];
  const dangers = dangersOf(telling);
  const found: Row[] = [['where', whereOf(telling)], ...background(telling)];
  const felt = assessment(telling).filter(([key]) => !IN_THE_CHECKS.includes(key));
  return html`${
      dangers.length
        ? html`<p class="loud"><strong>${work(reader, 'dangers')}</strong></p>
            ${list(dangers.map(plain))}`
        : null
    }
    ${isSettled(telling) ? html`<p>${work(reader, 'settled')}</p>` : null}
    <h4>${say('record.row.injuries')}</h4>
    ${suspected.length ? list(suspected.map(plain)) : html`<p>${say(of.plan ? 'record.no-injury' : 'record.not-asked-yet')}</p>`}
    ${facts([...found, ...felt].map(([key, says]) => [say(`record.row.${key}`), says] as const))}`;
}

const plain = (words: string): Markup => html`${words}`;
