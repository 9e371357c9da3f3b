// Something of everything that a ledger seals, and the look whether all of it is there and opens.
import { expect } from 'vitest';
import { type ChainedDeed, verifyChain } from '../../src/ledger/chain.ts';
import { sha256 } from '../../src/main.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { aCall, aDecision, aMessage, aText, NOON } from './builders.ts';
import { converse, converseAnd, fail } from './deciders.ts';

export const HELPER = 'sms:+12025550101';
export const OTHER = 'sms:+12025550102';
export const PHONE = 'phone:+12025550103';
export const NURSE = { id: 'ada', name: 'Ada', number: '+12025550190', language: 'en' };
export const HER_PHONE = `sms:${NURSE.number}`;
export const WORDS = 'the index finger went quite blue';
export const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
/** The hash of the commands, which add to the same chain. */
export const OUTSIDE = { hash: sha256, realNow: () => NOON };

export async function filledWith(ledger: Ledger): Promise<Ledger> {
  await ledger.enrol(NURSE, 'hash', SECRET);
  await ledger.takeStep('ada', 7);
  await ledger.keepDeed({ at: NOON, who: 'ada', did: 'signed in', about: null });
  await ledger.keepDeed({ at: NOON + 0.5, who: 'ada', did: 'saw a case', about: 'C1' });
  await ledger.keepFact('plan.secret', 'not to be guessed');
  const ring = converseAnd(({ code }) => ({
    outgoing: [aText(HER_PHONE, `call ${HELPER}: ${WORDS}`, { code, key: 'call.ring' })],
  }));
  await ledger.take(aMessage('SM1', HELPER, WORDS), ring);
  await ledger.take(aMessage('SM1', OTHER, WORDS), converse);
  await ledger.take(aMessage(`${PHONE}:1`, PHONE, WORDS), () =>
    aDecision({ outgoing: [aText(PHONE, WORDS)] }),
  );
  const complain = () => {
    throw new TypeError(`cannot read "${WORDS}" of ${HELPER}`);
  };
  await expect(ledger.take(aMessage('SM2', HELPER, WORDS), complain)).rejects.toThrow(WORDS);
  return ledger;
}

export async function expectWhole(ledger: Ledger): Promise<void> {
  expect((await ledger.conversation('C2')).map(({ text }) => text)).toEqual([WORDS, `turn 1: ${WORDS}`]);
  expect((await ledger.contact(HELPER))?.open).toEqual(['C1']);
  expect((await ledger.take(aMessage('SM1', HELPER, WORDS), fail)).repeat).toBe(true);
  expect((await ledger.take(aMessage(`${PHONE}:1`, PHONE, WORDS), fail)).repeat).toBe(true);
  expect((await ledger.clinicians())[0]?.number).toBe(NURSE.number);
  expect(await ledger.secondFactor('ada')).toEqual({ secret: SECRET, step: 7 });
  expect(await verifyChain(chainOf(ledger), OUTSIDE.hash)).toMatchObject({ whole: true });
  await expect(ledger.enrol({ ...NURSE, id: 'twin' }, 'hash')).rejects.toThrow('already the number of ada');
  expect(await ledger.fact('plan.secret')).toBe('not to be guessed');
}

/** Ada is rung for C1 of HELPER and C2 of OTHER. */
export async function callInBoth(ledger: Ledger): Promise<void> {
  for (const code of ['C1', 'C2'])
    await ledger.act(code, ({ cases: [one] }) => aDecision({ cases: [{ ...one!, call: aCall('ada') }] }));
}

/** With the row of HELPER's contact changed: both cases are listed, Ada's texts find the other, and only C1 fails. */
export async function expectOthersGoOn(ledger: Ledger): Promise<void> {
  const listing = { clinician: null, late: NOON, soon: NOON, limit: 9 };
  for (const cases of [await ledger.openCases(9), (await ledger.listed(listing)).cases])
    expect(cases.map(({ code, contact }) => [code, contact])).toEqual([
      ['C1', ''],
      ['C2', OTHER],
    ]);
  let seen: string[] = [];
  await ledger.take(aMessage('SM9', HER_PHONE, '1'), ({ cases }) => {
    seen = cases.map(({ code }) => code);
    return aDecision();
  });
  expect(seen).toEqual(['C2']);
  await expect(ledger.act('C1', () => aDecision())).rejects.toThrow('does not open');
}

async function* chainOf(ledger: Ledger): AsyncGenerator<ChainedDeed> {
  yield* await ledger.deeds(0, 100);
}
