// What is suspected, as Conditions: all provisional, since nobody but a helper has looked at the hand.
import type { Condition, Reference } from 'fhir/r4.d.ts';
import { codeOf } from '../codes.ts';
import { dangersOf, foundIn, injuriesOf, isSettled, whereOf } from '../findings.ts';
import { instantOf } from '../moments.ts';
import type { Telling } from '../recorded.ts';
import { coded, inWords } from './parts.ts';

const ICD_10 = 'http://hl7.org/fhir/sid/icd-10';

export function conditionsOf(telling: Telling, subject: Reference): Condition[] {
  return codesOf(telling).map((code) => ({
    resourceType: 'Condition',
    clinicalStatus: coded('condition-clinical', 'active'),
    verificationStatus: coded('condition-ver-status', 'provisional'),
    code,
    bodySite: [inWords(whereOf(telling))],
    subject,
    recordedDate: instantOf(telling, telling.history.plannedAt ?? telling.case.openedAt),
  }));
}

// Where a danger settled the plan, the other rows were assumed for safety, and nobody found them.
function codesOf(telling: Telling): Condition['code'][] {
  const { say, case: of, protocol } = telling;
  if (isSettled(telling) || !of.plan) return dangersOf(telling).map(inWords);
  const { sites } = foundIn(telling);
  return injuriesOf(of.plan.injuries).map((row) => {
    const text = say(`plan.injury.${row}`);
    const known = codeOf(row, sites, protocol.rules.codes);
    return known
      ? { coding: [{ system: ICD_10, code: known.code, display: known.title }], text }
      : inWords(text);
  });
}
