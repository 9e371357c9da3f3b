// `cases` and `number`: what an operator does when texting fails and helpers have to be phoned; and `rota --numbers`.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { caseLine } from '../../src/case-book.ts';
import type { Call } from '../../src/care/types.ts';
import { openHouse, type House } from '../../src/main.ts';
import { settingsOf } from '../bench/posts.ts';
import { TALK, talked } from '../bench/talk.ts';
import { command } from '../faults/serving.ts';
import { A_KEY, aCase, MINUTE, NOON } from '../ledger/builders.ts';

const BEN = '+12025550102';
const ADA = { id: 'ada', name: 'Ada Quill', number: '+12025550190', language: 'en' };

let folder: string;
beforeEach(() => void (folder = mkdtempSync(join(tmpdir(), 'palmward-cases-'))));
afterEach(() => rmSync(folder, { recursive: true }));

async function inHouse<T>(body: (house: House) => Promise<T>): Promise<T> {
  const house = await openHouse({ ...settingsOf(folder), key: A_KEY }, true, { quiet: true });
  try {
    return await body(house);
  } finally {
    await house.close();
  }
}

const says = (house: House, address: string, ...texts: string[]) =>
  texts.reduce<Promise<unknown>>(
    (before, text) =>
      before.then(() => house.receive({ id: `${address} ${text}`, address, text, pictures: 0 })),
    Promise.resolve(),
  );

const codeOf = async ({ ledger }: House, address: string) => (await ledger.contact(address))?.open[0] ?? '';
const palmward = (...args: string[]) => command(args, { DATA_DIR: folder, TIME_ZONE: 'UTC' });
const deedsOf = async (did: string) =>
  (await palmward('deeds')).said.split('\n').filter((line) => line.includes(did));

/** One by SMS under watch, one that calls, one by web chat. */
const open = () =>
  inHouse(async (house) => {
    await house.ledger.enrol(ADA, 'hash');
    const { code: watched } = await talked(house, 'sms:+12025550101', TALK);
    await says(house, 'chat:abc', 'my hand hurts');
    await says(house, `sms:${BEN}`, 'my hand hurts', 'CARE');
    const [calling, chatting] = [await codeOf(house, `sms:${BEN}`), await codeOf(house, 'chat:abc')];
    return { watched, calling, chatting };
  });

describe('cases', () => {
  test('lists the open ones as the desk has them in order, with what each needs, without a number, and is written down', async () => {
    const { watched, calling, chatting } = await open();
    const { code, said } = await palmward('cases');
    expect(code).toBe(0);
    const lines = said.trim().split('\n');
    const order = await inHouse(({ ledger }) => ledger.openCases(10));
    expect(lines.map((line) => line.slice(0, 4))).toEqual(order.map((one) => one.code));
    expect(lines[0]).toMatch(
      new RegExp(
        `^${calling} {2}call open since \\S+ \\d+ \\S+ \\d\\d:\\d\\d \\(\\w+\\), Ada Quill is rung {2}\\w+ {2}SMS$`,
      ),
    );
    expect(lines).toContainEqual(expect.stringMatching(new RegExp(`^${watched} .*next check at .* SMS$`)));
    expect(lines).toContainEqual(
      expect.stringMatching(new RegExp(`^${chatting} {2}quiet {2}asking {2}web chat$`)),
    );
    expect(said).not.toMatch(/\+?\d{7,}|202\D?555/);
    expect(await deedsOf('command  saw the list')).toHaveLength(1);
  });

  test('says so where there is none, and takes nothing', async () => {
    await inHouse(async () => undefined);
    expect(await palmward('cases')).toEqual({ code: 0, said: 'No open case.\n' });
    expect(await palmward('cases', 'all')).toEqual({ code: 2, said: 'cases takes nothing\n' });
  });

  const call: Call = {
    state: 'open',
    urgency: 'now',
    reasons: ['asked'],
    openedAt: NOON - 5 * MINUTE,
    ringing: null,
    tried: [],
    rounds: 1,
    acceptedBy: null,
  };
  const check = { reason: 'calendar' as const, times: 1, told: {}, unsure: [], alone: null };
  test.each([
    [{ call }, 'call open since Mon 2 Nov, 11:55 (now), nobody is rung'],
    [{ call: { ...call, state: 'accepted' as const, acceptedBy: 'ada' } }, 'held by Ada Quill'],
    [
      { call: { ...call, state: 'accepted' as const, acceptedBy: 'ada' }, timers: { check: NOON + MINUTE } },
      'held by Ada Quill, next check at Mon 2 Nov, 12:01',
    ],
    [{ check: { ...check, since: NOON - 30 * MINUTE } }, 'check late since Mon 2 Nov, 11:30'],
    [
      { call, check: { ...check, since: NOON - 30 * MINUTE } },
      'call open since Mon 2 Nov, 11:55 (now), nobody is rung, check late since Mon 2 Nov, 11:30',
    ],
    [{ check: { ...check, since: NOON - MINUTE } }, 'check asked at Mon 2 Nov, 11:59'],
    [{ timers: { recheck: NOON + 90 * MINUTE } }, 'next check at Mon 2 Nov, 13:30'],
    [{}, 'quiet'],
  ])('%j needs: %s', (more, need) => {
    const one = aCase(1, 'sms:+12025550101', more);
    const looking = { now: NOON, zone: 'UTC', names: new Map([['ada', 'Ada Quill']]) };
    expect(caseLine(one, looking)).toBe(`${one.code}  ${need}  ${one.stage}  SMS`);
  });
});

describe('number', () => {
  test('prints the helper’s number and nothing else, whichever way the code is written, and it is written down', async () => {
    const { calling } = await open();
    expect(await palmward('number', calling.toLowerCase())).toEqual({ code: 0, said: `${BEN}\n` });
    expect(await deedsOf(`command  saw the number: ${calling}`)).toHaveLength(1);
  });

  test('of a web chat, or of a helper who was forgotten, is none, and it says why', async () => {
    const { watched, chatting } = await open();
    await inHouse((house) => says(house, 'sms:+12025550101', 'FORGET', 'forget'));
    expect(await palmward('number', chatting)).toEqual({
      code: 1,
      said: `${chatting} has no number: it came by web chat; write to the helper at the desk, /duty/cases/${chatting}\n`,
    });
    expect(await palmward('number', watched)).toEqual({
      code: 1,
      said: `${watched} has no number: it was forgotten, as the helper wished or after its time\n`,
    });
    expect(await deedsOf('saw the number')).toEqual([]);
  });

  test('of no case is bad use', async () => {
    await inHouse(async () => undefined);
    expect(await palmward('number', 'b9z9')).toEqual({ code: 2, said: 'no case B9Z9\n' });
    for (const args of [[], ['B7K3', 'B7K4']])
      expect(await palmward('number', ...args)).toEqual({
        code: 2,
        said: 'number needs the code of one case\n',
      });
  });
});

test('rota tells numbers only when asked for them, and then it is written down', async () => {
  await inHouse(({ ledger }) => ledger.enrol(ADA, 'hash'));
  expect((await palmward('rota')).said).not.toContain(ADA.number);
  expect(await deedsOf('rota')).toEqual([]);
  const { code, said } = await palmward('rota', '--numbers');
  expect([code, said]).toEqual([
    0,
    expect.stringMatching(/^On call now[\s\S]*\n\+12025550190 {2}Ada Quill\n$/),
  ]);
  expect(await deedsOf('command  saw the numbers of the rota')).toHaveLength(1);
  expect((await palmward('rota', '--numbers', 'now')).code).toBe(2);
});
