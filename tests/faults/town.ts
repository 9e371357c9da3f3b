// A helper, a clinician and a carrier around one Palmward that may die: the carrier repeats what got no answer, lists what
// it sent, and reports twice on each text. Only what reaches a phone counts.
import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Gateway } from '../../src/channels/sms/gateway.ts';
import type { Ledger } from '../../src/ledger/port.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { calm, deliverDue } from '../../src/mailroom/deliver.ts';
import { keepProtocols } from '../../src/mailroom/protocols.ts';
import { receiving } from '../../src/mailroom/receive.ts';
import { hearingReports } from '../../src/mailroom/reported.ts';
import type { World } from '../../src/mailroom/surroundings.ts';
import { wakeDue } from '../../src/mailroom/wake.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { spanMs } from '../care/bedside.ts';
import { A_KEY } from '../ledger/builders.ts';
import { Died, doomed, type Doom, type Fault } from './dying.ts';

export const HELPER = '+12025550101';
export const NURSE = '+12025550190';
const MORNING = Date.UTC(2026, 0, 5, 9);
/** After a fault everything is looked at so often, as the loops do. */
const STEP_MS = 15_000;
/** The carrier repeats a post that got no answer. */
const REPEATS = 3;

export interface OnPhone {
  line: number;
  to: string;
  text: string;
}

export interface Town {
  /** What each post was answered, by the carrier's id. */
  answers: Map<string, string[]>;
  /** What reached phones, in order. */
  phones: OnPhone[];
  doom: Doom;
  ledger(): Ledger;
  helper(text: string): Promise<void>;
  nurse(text: string): Promise<void>;
  after(span: string): Promise<void>;
  close(): Promise<void>;
}

/** `refuses`: what the carrier will never take. `loses`: what it takes, and reports later as not delivered. */
interface Carrying {
  refuses?: (to: string, text: string) => boolean;
  loses?: (to: string, text: string) => boolean;
}

export async function openTown(
  fault: Fault | null,
  { refuses = () => false, loses = () => false }: Carrying = {},
): Promise<Town> {
  const folder = mkdtempSync(join(tmpdir(), 'palmward-fault-'));
  const clock = { at: MORNING };
  const realNow = () => clock.at;
  const world: World = {
    clock: {
      now: realNow,
      realMsUntil: (at) => Math.max(0, at - clock.at),
      catchUp: () => undefined,
    },
    protocols: keepProtocols(PROTOCOL, []),
    language: 'en',
    sms: true,
    planLink: null,
    utcOffsetAt: () => 0,
  };
  const doom: Doom = { fault, calls: 0, struck: false, isDead: false };
  const phones: OnPhone[] = [];
  const answers = new Map<string, string[]>();
  const listed: { to: string; text: string; id: string; at: number }[] = [];
  const lost: { line: number; id: string }[] = [];
  const take = (to: string, text: string, line: number) => {
    if (loses(to, text)) lost.push({ line, id: `SM${listed.length}` });
    else phones.push({ to, text, line });
    listed.push({ to, text, id: `SM${listed.length}`, at: clock.at });
    return listed.at(-1)!.id;
  };
  const carrier: Gateway = {
    send: async ({ to, text, line }) =>
      refuses(to, text)
        ? { state: 'failed', error: 'refused', why: 'permanent' }
        : { state: 'sent', carrierId: take(to, text, line) },
    find: async ({ to, text, since }) => {
      const found = listed.findLast((one) => one.to === to && one.text === text && one.at >= since);
      return found ? { carrierId: found.id, state: 'sent' } : null;
    },
  };

  let real = start();
  let process = run(real);
  function start(): Ledger {
    return openSqlite({
      file: join(folder, 'palmward.db'),
      exclusive: true,
      findMaster: () => A_KEY,
      hash: (text) => createHash('sha256').update(text).digest('base64url'),
      realNow,
    });
  }
  function run(ledger: Ledger) {
    const mortal = doomed(ledger, doom);
    const post = { ledger: mortal, gateway: doomed(carrier, doom), world, realNow, weather: calm() };
    return {
      receive: receiving(mortal, world, () => undefined),
      reported: hearingReports({
        ledger: mortal,
        world,
        realNow,
        judge: () => ({ class: 'permanent', afterMs: 0 }),
        onFailed: () => undefined,
        stirred: () => undefined,
      }),
      wake: () => wakeDue(mortal, world),
      deliver: () => deliverDue(post, () => undefined),
    };
  }
  await real.enrol({ id: 'ada', name: 'Ada Quill', number: NURSE, language: 'en' }, 'no-hash');

  /** Null where it died; a dead process is started anew. */
  const tried = async <T>(act: () => Promise<T>): Promise<T | null> => {
    try {
      return await act();
    } catch (fault) {
      if (!(fault instanceof Died)) throw fault;
      if (doom.isDead) {
        await real.close();
        doom.isDead = false;
        real = start();
        process = run(real);
      }
      return null;
    }
  };
  const report = async (line: number, id: string, end: 'delivered' | 'failed' = 'delivered') => {
    for (const status of ['sent', end, end] as const)
      for (let tries = 0; tries < REPEATS; tries += 1)
        if ((await tried(() => process.reported({ line }, status, id, null).then(() => true))) !== null)
          break;
  };
  const tick = async () => {
    while ((await tried(() => process.wake())) === null);
    while ((await tried(() => process.deliver())) === null);
    for (const { line, id } of lost.splice(0)) await report(line, id, 'failed');
  };
  let count = 0;
  const post = async (from: string, text: string) => {
    count += 1;
    const id = `SM-in-${count}`;
    for (let tries = 0; tries < REPEATS; tries += 1) {
      const message = { id, address: `sms:${from}`, text, pictures: 0 };
      const taken = await tried(() => process.receive(message));
      if (!taken) continue;
      if (answers.has(id)) throw new Error(`${id} was answered twice`);
      answers.set(
        id,
        taken.texts.map((each) => each.text),
      );
      for (const { line, text } of taken.texts) await report(line, take(from, text, line));
      break;
    }
    await tick();
  };
  return {
    answers,
    phones,
    doom,
    ledger: () => real,
    helper: (text) => post(HELPER, text),
    nurse: (text) => post(NURSE, text),
    after: async (span) => {
      const until = clock.at + spanMs(span);
      while (clock.at < until) {
        const due = (await real.nextDue()) ?? until;
        const next = doom.struck ? clock.at + STEP_MS : Math.max(due, clock.at + 1000);
        clock.at = Math.min(until, next);
        await tick();
      }
    },
    close: async () => {
      await real.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
