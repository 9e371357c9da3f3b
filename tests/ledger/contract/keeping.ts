// Clinicians, facts and versions.
import { expect, test } from 'vitest';
import type { CaseFigures } from '../../../src/care/learn.ts';
import type { Case } from '../../../src/care/types.ts';
import { aCase, aContact, aDecision, aMessage, anEvent, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const HELPER = 'sms:+12025550101';
const NO_FIGURES: CaseFigures = {
  week: 0,
  language: 'en',
  injuries: [],
  ended: 'open',
  questions: null,
  stoppedAt: [],
  checks: { onTime: 0, late: 0, silent: 0 },
  outcomes: { good: 0, loosen: 0, failed: 0 },
  calls: 0,
  acceptedAfter: [],
};
const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const BO = { id: 'bo', name: 'Dr Bo', number: '+12025550191', language: 'uk' };

export function keepingContract(open: Open): void {
  test('clinicians are called in the order they were enrolled', async () => {
    const ledger = await open();
    expect(await ledger.enrol(AMARA, 'h1')).toEqual({ ...AMARA, place: 1 });
    expect(await ledger.enrol(BO, 'h2')).toEqual({ ...BO, place: 2 });
    expect(await ledger.clinicians()).toEqual([
      { ...AMARA, place: 1 },
      { ...BO, place: 2 },
    ]);
    expect([await ledger.passphraseHash('bo'), await ledger.passphraseHash('cy')]).toEqual(['h2', null]);
  });

  test('a clinician enrolled again keeps the place and gets the new number and passphrase', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    await ledger.enrol(BO, 'h2');
    const moved = await ledger.enrol({ ...AMARA, number: '+12025550199' }, 'h3');
    expect(moved).toEqual({ ...AMARA, number: '+12025550199', place: 1 });
    expect(await ledger.passphraseHash('amara')).toBe('h3');
    expect(await ledger.clinicians()).toHaveLength(2);
  });

  test('a number belongs to one clinician', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    await expect(ledger.enrol({ ...BO, number: AMARA.number }, 'h2')).rejects.toThrow(
      'already the number of amara',
    );
  });

  test('a fact is kept, and replaced by a newer one', async () => {
    const ledger = await open();
    expect(await ledger.fact('clock')).toBeNull();
    await ledger.keepFact('clock', '1');
    await ledger.keepFact('clock', '2');
    expect(await (await open()).fact('clock')).toBe('2');
  });

  test('of two processes that keep a first fact at once, both are told the same one, and it stays', async () => {
    const [one, two] = [await open(), await open()];
    const told = await Promise.all([one.keepFirstFact('secret', 'one'), two.keepFirstFact('secret', 'two')]);
    expect(new Set(told).size).toBe(1);
    expect(await two.keepFirstFact('secret', 'three')).toBe(told[0]);
    expect(await one.fact('secret')).toBe(told[0]);
  });

  test('versions are told with when they were first served, the newest first', async () => {
    const ledger = await open();
    expect(await ledger.versions()).toEqual([]);
    for (const [at, hash] of ['v1', 'v2', 'v1'].entries()) await ledger.keepVersion(hash, [], NOON + at);
    expect(await ledger.versions()).toEqual([
      { hash: 'v2', at: NOON + 1 },
      { hash: 'v1', at: NOON },
    ]);
  });

  test('what a case adds to the figures is asked for once, again when it went on, and parts outlive its texts', async () => {
    const ledger = await open();
    const keep = (id: string, more: Partial<Case>) =>
      ledger.take(aMessage(id, HELPER, ''), () => {
        const one = aCase(1, HELPER, more);
        return aDecision({
          contacts: [aContact(HELPER)],
          cases: [one],
          events: [{ code: 'C1', event: anEvent(NOON) }],
        });
      });
    await keep('SM1', { turns: 1 });
    expect(await ledger.unlearned(5)).toEqual(['C1']);
    const figures = { ...NO_FIGURES, week: 10 };
    await ledger.keepLearned({ number: 1, turns: 1, isFinal: false, parts: 4, figures });
    expect(await ledger.unlearned(5)).toEqual([]);
    await keep('SM2', { turns: 2, stage: 'ended' });
    expect(await ledger.unlearned(5)).toEqual(['C1']);
    await ledger.keepLearned({
      number: 1,
      turns: 2,
      isFinal: true,
      parts: null,
      figures: { ...figures, calls: 1 },
    });
    expect(await ledger.unlearned(5)).toEqual([]);
    expect(await ledger.learned(10)).toEqual([{ figures: { ...figures, calls: 1 }, parts: 4 }]);
    expect(await ledger.learned(11)).toEqual([]);
  });

  test('a version is kept as it was first served, and in use as long as an open case needs it', async () => {
    const ledger = await open();
    const files = [{ path: 'flows/hand.yaml', text: 'side: "…"\n' }];
    await ledger.keepVersion('v1', files, NOON);
    await ledger.keepVersion('v1', [], NOON + 1);
    expect(await ledger.version('v1')).toEqual(files);
    expect(await ledger.version('v2')).toBeNull();
    const cases = [aCase(1, HELPER, { version: 'v1' }), aCase(2, HELPER, { version: 'v2', stage: 'ended' })];
    await ledger.take(aMessage('SM1', HELPER, ''), () => aDecision({ contacts: [aContact(HELPER)], cases }));
    expect(await ledger.versionsInUse()).toEqual(['v1']);
  });
}
