// Whom a call rings when shifts say who is on call: them first, and nobody is ever left out.
import { expect, test } from 'vitest';
import { decideEvent, decideInbound } from '../../src/care/decide.ts';
import type { Surroundings } from '../../src/care/draft.ts';
import type { Case, Clinician, Contact, Decision, Situation } from '../../src/care/types.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { CUT_FINGER, HELPER, MORNING } from './bedside.ts';

const HOUR = 3_600_000;
const person = (id: string, place: number, more: Partial<Clinician> = {}): Clinician => ({
  id,
  name: id,
  number: `+1202555019${place}`,
  language: 'en',
  place,
  ...more,
});
const morning = { zone: 'UTC', shifts: [{ weekday: 1, from: '08:00', to: '10:00' }], exceptions: [] };

/** A case with a call, opened at `at`, by a rota; each event tells who is rung after it. */
function called(clinicians: Clinician[], at: number) {
  const around = {
    at,
    utcOffset: 0,
    current: PROTOCOL,
    protocolOf: () => PROTOCOL,
    language: 'en',
    sms: true,
    planLink: null,
  } satisfies Surroundings;
  let contact: Contact | null = null;
  let of: Case | null = null;
  const situation = (): Situation => ({
    contact,
    cases: of ? [of] : [],
    contacts: contact ? [contact] : [],
    clinician: null,
    clinicians,
    nextNumber: 1,
  });
  const keep = (decision: Decision) => {
    contact = decision.contacts.at(-1) ?? contact;
    of = decision.cases.at(-1) ?? of;
    return decision;
  };
  for (const [nth, text] of CUT_FINGER.entries())
    keep(decideInbound(situation(), { id: `m${nth}`, address: HELPER, text, pictures: 0, at }, around));
  return {
    call: () => of!.call!,
    passes: (clinician: string) =>
      keep(decideEvent(situation(), of!.code, { kind: 'clinician', clinician, act: 'pass' }, around)).events,
  };
}

test('whoever is on call is rung first, whatever the place, then everybody else in order', () => {
  const rota = [person('ada', 1), person('ben', 2), person('cy', 3, { duty: morning })];
  const story = called(rota, MORNING);
  expect(story.call().ringing).toBe('cy');
  expect(story.passes('cy')[0]?.event.rota).toEqual(['cy', 'ada', 'ben']);
  expect(story.call().ringing).toBe('ada');
  story.passes('ada');
  expect(story.call().ringing).toBe('ben');
});

test('in a gap everybody is rung in the order of the rota', () => {
  const rota = [person('ada', 1), person('cy', 2, { duty: morning })];
  expect(called(rota, MORNING + 2 * HOUR).call().ringing).toBe('ada');
});

test('who is away is rung when all others passed', () => {
  const away = { zone: 'UTC', shifts: [], exceptions: [{ kind: 'off' as const, from: 0, to: 9e12 }] };
  const story = called([person('ada', 1, { duty: away }), person('ben', 2)], MORNING);
  expect(story.call().ringing).toBe('ben');
  story.passes('ben');
  expect(story.call().ringing).toBe('ada');
});
