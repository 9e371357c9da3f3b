// Whole conversations, with what goes wrong in them: neither what is stored nor the log ever show a number or what was said.
import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { decideEvent } from '../../src/care/decide.ts';
import { turn } from '../../src/care/turn.ts';
import type { Case } from '../../src/care/types.ts';
import { keptState } from '../../src/ledger/kept-state.ts';
import { expireDue } from '../../src/mailroom/expire.ts';
import { appOf, sha256 } from '../../src/main.ts';
import { bytesIn, foundIn, numberFormsIn } from '../ledger/stolen.ts';
import { makeDatabase } from '../postgres/database.ts';
import { filesAsBytes, tablesAsBytes } from '../postgres/stolen.ts';
import { cookiesOf, hidden, post } from '../server/house.ts';
import { enrolled, HELPER, NURSE_ADA, openStage, type Stage } from './stage.ts';

/** Words that stand in every text somebody types here, and nowhere in the catalogues. */
const TYPED = 'zwiebelkuchen';
const SAID_TO_HELPER = 'Press a soft fingertip';
const NURSE_NAME = 'Ada Quill';
const TO_THE_WATCH = ['1', '6', '6', '1', '2 R', '1', '2 2 1 1', '3', 'done', '8'];
let stage: Stage;
let log: string[];

/** An engine for one test: how to open a ledger on it, and what a thief of all that it stores gets. */
interface Engine {
  env: Record<string, string>;
  stolen: () => Promise<Buffer>;
  drop: () => Promise<void>;
}

const ENGINES: [string, () => Promise<Engine>][] = [
  [
    'SQLite: its folder',
    async () => ({
      env: {},
      stolen: async () => bytesIn(stage.house.settings.dataDir),
      drop: async () => undefined,
    }),
  ],
  [
    'PostgreSQL: its tables, and the files they are in',
    async () => {
      const database = await makeDatabase();
      return {
        env: { DATABASE_URL: database.url },
        stolen: async () => Buffer.concat([await tablesAsBytes(database), await filesAsBytes(database)]),
        drop: database.drop,
      };
    },
  ],
];

describe.each(ENGINES)('on %s:', (_name, make) => {
  let engine: Engine;
  beforeEach(async () => {
    log = [];
    engine = await make();
    stage = await openStage(engine.env, undefined, false, { write: (line) => void log.push(line) });
    await enrolled(stage, NURSE_NAME, NURSE_ADA);
  });

  afterEach(async () => {
    await stage.close();
    await engine.drop();
  });

  describe('a thief of what is stored', () => {
    test('finds no number and no text, whatever was typed where', async () => {
      await talkOfEverything();
      for (const number of [NURSE_ADA, '+12025550106']) await signInWrongly(number);
      const deeds = await stage.house.ledger.deeds(0, 10);
      expect(deeds.map(({ did }) => did)).toEqual(['sign-in refused', 'sign-in refused']);
      expect(deeds[0]?.who).not.toBe(deeds[1]?.who);
      expect(await everythingSaid()).toMatch(new RegExp(`${TYPED}[^]*${SAID_TO_HELPER}`));
      await expectNothingStolen(engine);
      await stage.restart();
      await expectNothingStolen(engine);
    });
  });

  describe('the log', () => {
    test('has no number and no text, whatever fails', async () => {
      await talkOfEverything();
      stage.gateway.failWith({ status: 400, code: 21211 });
      await stage.helper(`CARE ${TYPED}`);
      const { ledger } = stage.house;
      const complain = () => {
        throw new RangeError(`no ${TYPED}\n    at ${HELPER} (${TYPED}:1:1)\nfor ${HELPER}`, {
          cause: HELPER,
        });
      };
      const [one] = await ledger.openCases(1);
      await expect(ledger.act(one!.code, complain)).rejects.toThrow(TYPED);
      await ledger.wake(stage.now() + 400 * 86_400_000, 10, complain);
      ledger.thread = () => Promise.reject(new RangeError(`no ${TYPED}\n    at ${HELPER} (${TYPED}:1:1)`));
      ledger.take = complain;
      await expect(stage.helper(TYPED)).rejects.toThrow('503');
      expect((await stage.get('/chat')).status).toBe(500);
      expect(log.length).toBeGreaterThanOrEqual(3);
      expect(log.join('')).toMatch(/RangeError .*nothing-shown/);
      expectNothingIn(Buffer.from(log.join('')));
    });
  });

  describe('FORGET', () => {
    test('says what it means while a watch runs, and then nothing of what was said is left, but the case replays', async () => {
      await stage.helper(`hello, ${TYPED}`);
      await stage.answers(...TO_THE_WATCH);
      const [of] = await stage.house.ledger.openCases(1);
      expect(of?.stage).toBe('watching');
      expect((await stage.helper('FORGET')).join()).toMatch(/Nobody will check on the hand/);
      expect((await stage.helper('FORGET')).join()).toMatch(/texts are deleted/);
      const { ledger } = stage.house;
      const said = await ledger.conversation(of!.code);
      expect(said.filter(({ text, from }) => text !== null && from !== 'palmward')).toEqual([]);
      expect(said.map(({ address }) => address).filter((address) => address.includes(HELPER))).toEqual([]);
      expect((await replayed(of!.code)).plan).toEqual(of?.plan);
    });

    test('once the answer to it has surely arrived, the number itself is gone', async () => {
      await stage.helper(`hello, ${TYPED}`);
      await stage.answers('FORGET', 'FORGET');
      expect(await stage.house.ledger.contact(`sms:${HELPER}`)).toMatchObject({ open: [] });
      const again = await stage.helper('hello again');
      expect(again.join()).toMatch(/hand first aid/);
    });
  });

  describe('texts', () => {
    test('are deleted the set time after their case ended, and the case still replays to the same plan', async () => {
      await stage.helper(`hello, ${TYPED}`);
      await stage.answers(...TO_THE_WATCH);
      const { ledger, world } = stage.house;
      const [of] = await ledger.openCases(1);
      await stage.helper('CARE');
      await stage.text(NURSE_ADA, '1');
      await stage.text(NURSE_ADA, `${of!.code} CLOSE`);
      expect((await ledger.case(of!.code))?.stage).toBe('ended');
      await stage.after('89 d');
      expect(await expireDue(ledger, world, 90)).toBe(0);
      await stage.after('2 d');
      expect(await expireDue(ledger, world, 90)).toBeGreaterThan(0);
      expect((await ledger.conversation(of!.code)).filter(({ text }) => text !== null)).toEqual([]);
      expect((await ledger.case(of!.code))?.plan).toEqual(of?.plan);
      expect((await replayed(of!.code)).plan).toEqual(of?.plan);
    });
  });
});

/** An opening, answers nobody understands, a whole way to the watch, words passed on both ways, another case, pictures. */
async function talkOfEverything(): Promise<void> {
  await stage.helper(`hello ${TYPED}, my number is ${HELPER}`);
  await stage.helper(TYPED);
  await stage.answers(...TO_THE_WATCH);
  await stage.helper(`${TYPED}?`);
  await stage.helper(`SIZE ${TYPED}`);
  await stage.text(HELPER, TYPED, { NumMedia: '1' });
  await stage.helper('CARE');
  await stage.text(NURSE_ADA, '1');
  const [called] = await stage.house.ledger.openCases(1);
  await stage.text(NURSE_ADA, `how is the ${TYPED}?`);
  await stage.text(NURSE_ADA, `${called!.code} how is the ${TYPED}? call ${NURSE_ADA}`);
  await stage.helper(`it is ${TYPED}, ${HELPER}`);
  await stage.helper('NEW');
  await stage.text('+12025550105', `${TYPED} hurts`);
  await stage.text('+12025550105', 'STOP');
  await stage.after('3 h');
  const [of] = await stage.house.ledger.openCases(1);
  await stage.house.ledger.act(of!.code, (situation) =>
    decideEvent(
      situation,
      of!.code,
      { kind: 'undelivered', key: 'plan.position' },
      {
        at: stage.now(),
        utcOffset: 0,
        current: stage.house.world.protocols.current,
        protocolOf: (version) => stage.house.world.protocols.of(version),
        language: 'en',
        sms: true,
        planLink: null,
      },
    ),
  );
}

async function signInWrongly(number: string): Promise<void> {
  const server = createServer(appOf(stage.house)).listen(0, '127.0.0.1');
  await once(server, 'listening');
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/duty/sign-in`;
  const shown = await fetch(url);
  const cookie = cookiesOf(shown);
  const token = hidden(await shown.text(), 'token');
  const answer = await post(
    url,
    { number, passphrase: TYPED, code: '123456', token, next: '/duty' },
    { cookie },
  );
  expect(answer.status).toBe(401);
  server.closeAllConnections();
  server.close();
}

async function everythingSaid(): Promise<string> {
  const threads = await Promise.all(
    [HELPER, NURSE_ADA].map((number) => stage.house.ledger.thread(`sms:${number}`, 0)),
  );
  return threads
    .flat()
    .map(({ text }) => text)
    .join('\n');
}

async function expectNothingStolen({ stolen }: Engine): Promise<void> {
  const bytes = await stolen();
  // What is kept in the clear is there, so the thief does see the rows.
  expect(foundIn(bytes, NURSE_NAME)).toContain('itself');
  expectNothingIn(bytes);
}

function expectNothingIn(bytes: Buffer): void {
  for (const number of [HELPER, NURSE_ADA, '+12025550105', '+12025550106'])
    expect(numberFormsIn(bytes, number)).toEqual([]);
  // The versions that were served are kept, and hold every word of the catalogues: only what was typed is looked for.
  expect(foundIn(bytes, TYPED)).toEqual([]);
}

async function replayed(code: string): Promise<Case> {
  const events = await stage.house.ledger.events(code);
  let of: Case | null = null;
  for (const { event, hash } of events) {
    of = JSON.parse(JSON.stringify(turn(of, event, stage.house.world.protocols.current).case)) as Case;
    if (hash) expect(sha256(keptState(of))).toBe(hash);
  }
  return of!;
}
