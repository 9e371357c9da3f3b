// Observations: the age group, and the refill of both hands at every check, in seconds.
import type { Observation, ObservationComponent, Quantity, Reference } from 'fhir/r4.d.ts';
import type { CheckRecord } from '../../care/types.ts';
import { reasonsInWords } from '../assessment.ts';
import { foundIn } from '../findings.ts';
import { instantOf } from '../moments.ts';
import type { Telling } from '../recorded.ts';
import { limitOf } from '../refill-plot.ts';
import { coded, inWords } from './parts.ts';

export function observationsOf(telling: Telling, subject: Reference): Observation[] {
  return [
    ...ageOf(telling, subject),
    ...telling.history.checks.flatMap((check) => countsOf(check, telling, subject)),
  ];
}

/** An age group instead of a date of birth, which nobody asks for. */
function ageOf(telling: Telling, subject: Reference): Observation[] {
  const { say, at } = telling;
  const { age } = foundIn(telling);
  if (!age) return [];
  return [
    {
      resourceType: 'Observation',
      status: 'preliminary',
      code: inWords(say('record.fhir.age')),
      subject,
      effectiveDateTime: instantOf(telling, at),
      valueCodeableConcept: inWords(say(`record.age.${age}`)),
    },
  ];
}

// LOINC's code for capillary refill that could be read (44963-7) is for the nail bed, and this is the pulp: words only.
function countsOf(check: CheckRecord, telling: Telling, subject: Reference): Observation[] {
  const { say } = telling;
  const { told, verdict } = check;
  const common = {
    resourceType: 'Observation' as const,
    status: 'preliminary' as const,
    category: [coded('observation-category', 'exam')],
    code: inWords(say('record.fhir.refill')),
    subject,
    effectiveDateTime: instantOf(telling, check.at),
  };
  const reasons = reasonsInWords(verdict.reasons, telling);
  const felt = componentsOf(check, telling);
  const hurt: Observation = {
    ...common,
    ...valueOf(told.refill),
    interpretation: [inWords(say(`record.outcome.${verdict.outcome}`))],
    ...(reasons === '' ? {} : { note: [{ text: reasons }] }),
    bodySite: inWords(handOf('hurt', telling)),
    referenceRange: [{ high: seconds(limitOf(telling)) }],
    ...(felt.length > 0 ? { component: felt } : {}),
  };
  if (told.otherRefill === undefined) return [hurt];
  const other = { ...common, ...valueOf(told.otherRefill), bodySite: inWords(handOf('other', telling)) };
  return [hurt, other];
}

function valueOf(
  refill: number | undefined,
): Pick<Observation, 'valueQuantity'> | Pick<Observation, 'dataAbsentReason'> {
  return refill === undefined
    ? { dataAbsentReason: coded('data-absent-reason', 'unknown') }
    : { valueQuantity: seconds(refill) };
}

const seconds = (value: number): Quantity => ({
  value,
  unit: 's',
  system: 'http://unitsofmeasure.org',
  code: 's',
});

function componentsOf({ told }: CheckRecord, { say }: Telling): ObservationComponent[] {
  const component = (name: 'colour' | 'feeling' | 'pain', says: string): ObservationComponent => ({
    code: inWords(say(`record.fhir.${name}`)),
    valueCodeableConcept: inWords(says),
  });
  return [
    ...(told.colour ? [component('colour', say(`record.fhir.colours.${told.colour}`))] : []),
    ...(told.feeling ? [component('feeling', say(`record.feeling.${told.feeling}`))] : []),
    ...(told.pain ? [component('pain', say(`record.pain.${told.pain}`))] : []),
  ];
}

function handOf(which: 'hurt' | 'other', telling: Telling): string {
  const { side } = foundIn(telling);
  const sides = { left: 'right', right: 'left' } as const;
  const hand = side ? (which === 'hurt' ? side : sides[side]) : which;
  return telling.say(`record.fhir.hand.${hand}`);
}
