// The second factor's steps, leaving the rota, and the chain of what was seen and done.
import { expect, test } from 'vitest';
import { type ChainedDeed, verifyChain } from '../../../src/ledger/chain.ts';
import type { Ledger } from '../../../src/ledger/port.ts';
import { NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const BO = { id: 'bo', name: 'Dr Bo', number: '+12025550191', language: 'uk' };
const hash = (text: string) => `hash of ${text}`;

export function chainingContract(open: Open): void {
  test('a second factor is kept with its clinician, and gone where they are enrolled without one', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1', 'SECRET');
    await ledger.enrol(BO, 'h2');
    expect(await ledger.secondFactor('amara')).toEqual({ secret: 'SECRET', step: 0 });
    expect(await ledger.secondFactor('bo')).toBeNull();
    await ledger.takeStep('amara', 7);
    await ledger.enrol(AMARA, 'h3', 'ANOTHER');
    expect(await ledger.secondFactor('amara')).toEqual({ secret: 'ANOTHER', step: 0 });
    await ledger.enrol(AMARA, 'h3');
    expect(await ledger.secondFactor('amara')).toBeNull();
  });

  test('of many that take one step at once a single one has it, and no earlier step is taken after it', async () => {
    const ledgers = [await open(), await open()];
    await ledgers[0]!.enrol(AMARA, 'h1', 'SECRET');
    const taken = await Promise.all(
      Array.from({ length: 8 }, (_, at) => ledgers[at % 2]!.takeStep('amara', 59_000_000)),
    );
    expect(taken.filter(Boolean)).toHaveLength(1);
    expect(await ledgers[1]!.takeStep('amara', 58_999_999)).toBe(false);
    expect(await ledgers[1]!.takeStep('amara', 59_000_001)).toBe(true);
    expect(await ledgers[0]!.takeStep('nobody', 1)).toBe(false);
  });

  test('a hash is renewed only while it is the one that was read', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'old');
    await ledger.renewHash('amara', 'another', 'lost');
    expect(await ledger.passphraseHash('amara')).toBe('old');
    await ledger.renewHash('amara', 'old', 'new');
    expect(await ledger.passphraseHash('amara')).toBe('new');
  });

  test('who leaves the rota is not called any more, cannot sign in, and may come back at its end', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    await ledger.enrol(BO, 'h2');
    expect(await ledger.retire('amara')).toBe(true);
    expect(await ledger.retire('amara')).toBe(false);
    expect((await ledger.clinicians()).map(({ id }) => id)).toEqual(['bo']);
    expect(await ledger.passphraseHash('amara')).toBeNull();
    expect((await ledger.enrol(AMARA, 'h3')).place).toBe(3);
  });

  test('of two who take each other off the rota at once one stays, where the last is to stay', async () => {
    const ledgers = [await open(), await open()];
    for (let round = 0; round < 8; round += 1) {
      for (const one of [AMARA, BO]) await ledgers[0]!.enrol(one, 'h');
      const left = await Promise.all([ledgers[0]!.retire('amara', true), ledgers[1]!.retire('bo', true)]);
      expect([left.filter(Boolean).length, (await ledgers[0]!.clinicians()).length]).toEqual([1, 1]);
    }
    const [last] = await ledgers[0]!.clinicians();
    expect(await ledgers[0]!.retire(last!.id)).toBe(true);
  });

  test('what was seen and done is kept in order, each entry chained to the one before', async () => {
    const ledger = await open();
    await ledger.keepDeed({ at: NOON, who: 'amara', did: 'signed in', about: null });
    await ledger.keepDeed({ at: NOON + 0.5, who: 'amara', did: 'saw a case', about: 'B7K3 "\u202e\0' });
    const deeds = await (await open()).deeds(0, 10);
    expect(deeds.map(({ seq, at, did }) => [seq, at, did])).toEqual([
      [1, NOON, 'signed in'],
      [2, NOON + 0.5, 'saw a case'],
    ]);
    expect(deeds[1]?.before).toBe(deeds[0]?.hash);
    expect(await ledger.deeds(1, 10)).toEqual(deeds.slice(1));
    expect(await ledger.deeds(0, 1)).toEqual(deeds.slice(0, 1));
    expect(await verifyChain(all(ledger), hash)).toMatchObject({ whole: true, entries: 2 });
  });

  test('of the deeds about one case the newest are told, oldest first, and none about another', async () => {
    const ledger = await open();
    for (const [at, about] of ['B7K3', 'C2M4', 'B7K3', null, 'B7K3', 'b7k3'].entries())
      await ledger.keepDeed({ at: NOON + at, who: 'amara', did: 'saw a case', about });
    const told = async (about: string, limit: number) =>
      (await ledger.deedsAbout(about, limit)).map(({ seq }) => seq);
    expect(await told('B7K3', 10)).toEqual([1, 3, 5]);
    expect(await told('B7K3', 2)).toEqual([3, 5]);
    expect(await told('ZZZZ', 10)).toEqual([]);
    expect(await ledger.deedsAbout('C2M4', 10)).toEqual(await ledger.deeds(1, 1));
  });

  test('two that write at once keep one chain', async () => {
    const ledgers = [await open(), await open()];
    await Promise.all(
      Array.from({ length: 20 }, (_, at) =>
        ledgers[at % 2]!.keepDeed({ at: NOON + at, who: 'amara', did: 'saw the list', about: null }),
      ),
    );
    expect(await verifyChain(all(ledgers[0]!), hash)).toMatchObject({ whole: true, entries: 20 });
  });
}

async function* all(ledger: Ledger): AsyncGenerator<ChainedDeed> {
  yield* await ledger.deeds(0, 1000);
}
