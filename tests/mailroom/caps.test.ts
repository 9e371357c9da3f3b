// Caps: parts a day, and new cases an hour from one block of numbers or, by web chat, one network. They warn before they
// bite; none cuts a watch.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { openGate } from '../../src/mailroom/gate.ts';
import { receiving } from '../../src/mailroom/receive.ts';
import { openSpending } from '../../src/mailroom/spending.ts';
import { purseOf } from '../../src/tally.ts';
import { A_KEY } from '../ledger/builders.ts';
import { HELPER, openStage } from '../journeys/stage.ts';

const HOUR = 3_600_000;
let folder: string;
let ledger: Ledger;
let now: number;
let alarms: string[];
const realNow = () => now;
const onAlarm = (what: string, count: number, cap: number) => void alarms.push(`${what} ${count}/${cap}`);

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'palmward-caps-'));
  ledger = openSqlite({
    file: join(folder, 'l.db'),
    exclusive: false,
    findMaster: () => A_KEY,
    hash: () => '',
    realNow,
  });
  now = Date.UTC(2026, 0, 5, 12);
  alarms = [];
});
afterEach(async () => {
  await ledger.close();
  rmSync(folder, { recursive: true, force: true });
});

const spendingWith = (cap: number | null, offset = 0) =>
  openSpending(ledger, { cap, realNow, utcOffsetAt: () => offset, onAlarm });

describe('the day’s parts', () => {
  test('an alarm at four fifths, once, and another when all is spent', async () => {
    const spending = await spendingWith(10);
    for (let part = 0; part < 7; part += 1) spending.add(1);
    expect([alarms, spending.isSpent()]).toEqual([[], false]);
    for (let part = 0; part < 5; part += 1) spending.add(1);
    expect(alarms).toEqual(['most 8/10', 'all 10/10']);
    expect([spending.isSpent(), spending.today()]).toEqual([true, 12]);
  });

  test('begin anew at local midnight', async () => {
    const spending = await spendingWith(10, 120);
    spending.add(10);
    now = Date.UTC(2026, 0, 5, 21, 59);
    expect(spending.isSpent()).toBe(true);
    now = Date.UTC(2026, 0, 5, 22, 0);
    expect([spending.isSpent(), spending.today()]).toEqual([false, 0]);
  });

  test('outlive a restart on the same day, and not into the next', async () => {
    const spending = await spendingWith(10);
    spending.add(9);
    await spending.keep(ledger);
    expect((await spendingWith(10)).today()).toBe(9);
    now += 24 * HOUR;
    expect((await spendingWith(10)).today()).toBe(0);
  });

  test('without a cap they are counted and never refused', async () => {
    const spending = await spendingWith(null);
    spending.add(100_000);
    expect([spending.isSpent(), alarms]).toEqual([false, []]);
  });
});

describe('new cases from one block of numbers', () => {
  const gateWith = async (casesPerHour: number | null) =>
    openGate({
      spending: await spendingWith(null),
      casesPerHour,
      chatsPerHour: null,
      realNow,
      onAlarm,
      onChatAlarm: onAlarm,
    });
  const one = (last: number, block = '+1202555') => `sms:${block}${String(last).padStart(4, '0')}`;

  test('are refused beyond the cap, with an alarm before; other blocks and other wires are not', async () => {
    const gate = await gateWith(5);
    for (let last = 0; last < 5; last += 1) {
      expect(gate.mayOpen(one(last))).toBe(true);
      gate.opened(one(last));
    }
    expect(alarms).toEqual(['most 4/5', 'all 5/5']);
    expect(gate.mayOpen(one(77))).toBe(false);
    expect(gate.mayOpen(one(77, '+1303555'))).toBe(true);
    expect(gate.mayOpen('chat:+12025550100')).toBe(true);
    expect(gate.busiest()).toBe(5);
  });

  test('are taken again an hour later', async () => {
    const gate = await gateWith(1);
    gate.opened(one(1));
    now += HOUR - 1;
    expect(gate.mayOpen(one(2))).toBe(false);
    now += 1;
    expect([gate.mayOpen(one(2)), gate.busiest()]).toEqual([true, 0]);
  });

  test('are counted without a cap and never refused, so that it shows which cap to set', async () => {
    const gate = await gateWith(null);
    for (let last = 0; last < 500; last += 1) gate.opened(one(last));
    gate.opened(one(1, '+1303555'));
    expect([gate.mayOpen(one(501)), gate.busiest(), alarms]).toEqual([true, 500, []]);
    now += HOUR;
    expect(gate.busiest()).toBe(0);
  });

  test('that were not stored are taken back, and nobody else’s with them', async () => {
    const gate = await gateWith(2);
    gate.opened(one(1));
    now += 1;
    const takeBack = gate.opened(one(2));
    expect(gate.mayOpen(one(3))).toBe(false);
    takeBack();
    expect([gate.mayOpen(one(3)), gate.busiest()]).toEqual([true, 1]);
    takeBack();
    expect(gate.busiest()).toBe(1);
  });

  test('from very many blocks are told too', async () => {
    const gate = await gateWith(null);
    for (let block = 0; block < 200_000; block += 1) gate.opened(`sms:+1${block + 1_000_000}0000`);
    expect(gate.busiest()).toBe(1);
  });
});

describe('new cases by web chat from one network', () => {
  const gateWith = async (chatsPerHour: number | null, casesPerHour: number | null = null) =>
    openGate({
      spending: await spendingWith(null),
      casesPerHour,
      chatsPerHour,
      realNow,
      onAlarm,
      onChatAlarm: (what, count, cap) => void alarms.push(`chat ${what} ${count}/${cap}`),
    });

  test('are refused beyond the cap for an hour; another network, this machine and SMS are not', async () => {
    const gate = await gateWith(5);
    for (let count = 0; count < 5; count += 1) {
      expect(gate.mayOpen(`chat:${count}`, '203.0.113.7')).toBe(true);
      gate.opened(`chat:${count}`, '203.0.113.7');
    }
    expect(alarms).toEqual(['chat most 4/5', 'chat all 5/5']);
    expect(gate.mayOpen('chat:6', '203.0.113.7')).toBe(false);
    expect(gate.mayOpen('chat:6', '203.0.113.8')).toBe(true);
    expect(gate.mayOpen('chat:6')).toBe(true);
    expect(gate.mayOpen('sms:+12025550101')).toBe(true);
    now += HOUR;
    expect(gate.mayOpen('chat:6', '203.0.113.7')).toBe(true);
  });

  test('leave the cap by SMS alone, and are left alone by it', async () => {
    const gate = await gateWith(1, 1);
    gate.opened('chat:1', '203.0.113.7');
    expect([gate.busiest(), gate.mayOpen('sms:+12025550101')]).toEqual([0, true]);
    gate.opened('sms:+12025550101');
    expect(gate.mayOpen('sms:+12025550102')).toBe(false);
    expect(gate.mayOpen('chat:2', '203.0.113.8')).toBe(true);
  });

  test('are not refused without a cap', async () => {
    const gate = await gateWith(null);
    for (let count = 0; count < 500; count += 1) gate.opened(`chat:${count}`, '203.0.113.7');
    expect(gate.mayOpen('chat:501', '203.0.113.7')).toBe(true);
  });
});

describe('over the whole house', () => {
  test('a day’s parts spent: a new helper gets one text, an open watch its checks', async () => {
    const stage = await openStage({ SPEND_CAP_PARTS_PER_DAY: '12' }, undefined, true);
    try {
      await stage.answers(
        'hello',
        '1',
        '6',
        '6',
        '1',
        '2 R',
        '1',
        '2 1 1 1',
        'card',
        'DONE',
        '8',
        '2 1 1 1 2',
      );
      expect(await stage.text('+12025550155', 'my hand hurts')).toEqual([
        expect.stringMatching(/local emergency care/),
      ]);
      expect(await stage.text('+12025550155', 'please')).toEqual([]);
      await stage.live('11 min');
      expect(await stage.newTexts(HELPER)).toEqual([expect.stringMatching(/^Check\./)]);
      expect((await stage.helper('2 1 1 1 2')).join()).toMatch(/Good/);
    } finally {
      await stage.close();
    }
  });

  test('a network that opens too many web chats is told once where to go; its open chats go on, and SMS is not touched', async () => {
    const stage = await openStage({ NEW_CHATS_PER_HOUR: '2' }, undefined, true);
    try {
      const chat = async (name: string, text: string, network = '203.0.113.7') =>
        (
          await stage.house.receive({
            id: `${name} ${text}`,
            address: `chat:${name}`,
            text,
            pictures: 0,
            language: 'en',
            network,
          })
        ).texts.map((said) => said.text);
      for (const name of ['one', 'two']) expect(await chat(name, 'my hand hurts')).toHaveLength(1);
      expect(await chat('three', 'my hand hurts')).toEqual([
        expect.stringMatching(/from your network\. Our SMS number still takes you/),
      ]);
      expect(await chat('three', 'please')).toEqual([]);
      expect(await chat('one', '1')).toEqual([expect.stringMatching(/ALL that are true/)]);
      expect(await chat('four', 'my hand hurts', '203.0.113.8')).toEqual([expect.stringMatching(/Blood/)]);
      expect(await stage.text('+12025550155', 'my hand hurts')).toEqual([expect.stringMatching(/Blood/)]);
      expect((await stage.house.ledger.counts()).openCases).toBe(4);
    } finally {
      await stage.close();
    }
  });

  test('a case that was not stored does not count, however often the gateway brings it', async () => {
    const stage = await openStage({ NEW_CASES_PER_HOUR: '1' }, undefined, true);
    try {
      const { ledger, world, tally } = stage.house;
      let isFull = true;
      // Decides, and then stores nothing: as where the disk is full. Some decide twice before they give up.
      const failing: Ledger = {
        ...ledger,
        take: (inbound, decide) =>
          ledger.take(inbound, (situation, of) => {
            const decision = decide(situation, of);
            if (!isFull) return decision;
            decide(situation, of);
            throw new Error('the disk is full');
          }),
      };
      const receive = receiving(failing, world, () => undefined, purseOf(tally));
      const text = { id: 'first', address: 'sms:+12025553001', text: 'my hand hurts', pictures: 0 };
      for (let nth = 0; nth < 3; nth += 1) await expect(receive(text)).rejects.toThrow('the disk is full');
      expect(tally.gate.busiest()).toBe(0);
      isFull = false;
      expect((await receive(text)).texts[0]?.text).toMatch(/Blood/);
      expect(tally.gate.busiest()).toBe(1);
      const next = await receive({ ...text, id: 'next', address: 'sms:+12025553002' });
      expect(next.texts[0]?.text).toMatch(/local emergency care/);
    } finally {
      await stage.close();
    }
  });

  test('a burst of new numbers at once is cut at the cap exactly', async () => {
    const stage = await openStage({ NEW_CASES_PER_HOUR: '5' }, undefined, true);
    try {
      const numbers = Array.from({ length: 20 }, (_, last) => `+1202555${String(3000 + last)}`);
      const told = await Promise.all(
        numbers.map((number) =>
          stage.house.receive({ id: number, address: `sms:${number}`, text: 'my hand hurts', pictures: 0 }),
        ),
      );
      const refused = told.filter(({ texts }) => /local emergency care/.test(texts[0]?.text ?? ''));
      expect(refused).toHaveLength(15);
      expect((await stage.house.ledger.counts()).openCases).toBe(5);
    } finally {
      await stage.close();
    }
  });
});
