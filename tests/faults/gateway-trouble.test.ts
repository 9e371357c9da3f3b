// The gateway in trouble: down for an hour, slow, too busy, closing connections midway. The real SDK against a stand-in.
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { classifyReport } from '../../src/channels/sms/error-classes.ts';
import { readReport } from '../../src/channels/sms/read-report.ts';
import { gatewayOf } from '../../src/main.ts';
import { calm, deliverDue } from '../../src/mailroom/deliver.ts';
import { hearingReports } from '../../src/mailroom/reported.ts';
import { HELPER, NURSE_ADA, NURSE_BEN, enrolled, openStage, type Stage } from '../journeys/stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage({}, undefined, true);
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
});
afterEach(() => stage.close());

const WRIST = ['hello', '1', '6', '6', '1', '2 R', '1'];
const watched = () => stage.answers(...WRIST, '2 1 1 1', 'card', 'DONE', '8', '2 1 1 1 2');
const to = (number: string) =>
  stage.gateway.sent.filter((sent) => sent.to === number).map(({ body }) => body);
const isCheck = (body: string) => body.startsWith('Check.');
const statesOf = async (number: string, key: RegExp) =>
  (await stage.house.ledger.thread(`sms:${number}`, 0))
    .filter((text) => text.direction === 'out' && key.test(text.key ?? ''))
    .map(({ state }) => state);
const onlyCase = async () => (await stage.house.ledger.openCases(1))[0]!;
const reportFailure = (line: number, code: string) => reported(line, 'undelivered', code);

/** Puts texts for the helper, or others, into the outbox: key and words. */
function put(id: string, ...texts: [key: string, text: string, number?: string][]) {
  const outgoing = texts.map(([key, text, number = HELPER]) => ({
    address: `sms:${number}`,
    code: null,
    key,
    text,
    from: 'palmward' as const,
    until: null,
  }));
  return stage.house.ledger.take(
    { id, address: 'sms:+12025550177', text: '', pictures: 0, at: stage.now() },
    () => ({ contacts: [], cases: [], events: [], timers: [], outgoing, about: null, shred: [], forget: [] }),
  );
}

async function reported(line: number, status: string, code: string | null): Promise<void> {
  const { ledger, world, realNow } = stage.house;
  const hear = hearingReports({
    ledger,
    world,
    realNow,
    judge: classifyReport,
    onFailed: () => undefined,
    stirred: () => undefined,
  });
  const carrierId = `SM-of-${line}`;
  const form = { MessageSid: carrierId, MessageStatus: status, ...(code ? { ErrorCode: code } : {}) };
  const read = readReport(form, String(line))!;
  await hear(read.by, read.status, read.carrierId, read.errorCode);
  await stage.carry();
}

const lastLine = async (key: RegExp) =>
  (await stage.house.ledger.thread(`sms:${HELPER}`, 0)).findLast((text) => key.test(text.key ?? ''))!.line;

describe('down for an hour in a watch', () => {
  const DOWN = { status: 503, code: 20503 };

  test('checks of that hour are dropped and not sent late; the call reaches the clinician when it is up again', async () => {
    await watched();
    stage.gateway.failWith(DOWN);
    stage.gateway.listing = false;
    await stage.live('60 min');
    expect(stage.gateway.sent).toEqual([]);
    expect((await onlyCase()).call).toMatchObject({
      state: 'open',
      reasons: expect.arrayContaining(['silent']),
    });
    stage.gateway.failWith(null);
    stage.gateway.listing = true;
    await stage.live('6 min');
    const asked = to(HELPER).filter(isCheck);
    expect(asked.length, 'asked once, not once for each time it was due').toBeLessThanOrEqual(1);
    expect(
      (await statesOf(HELPER, /^check[.]ask/)).filter((state) => state === 'dropped').length,
    ).toBeGreaterThan(1);
    expect(to(HELPER).join('\n')).toMatch(/I hear nothing, so a person is called/);
    expect(to(NURSE_ADA)[0]).toMatch(/no answer from helper.*1 accept/);
    expect(await stage.house.ledger.figures()).toMatchObject({ oldestWaiting: null });
  });

  test('what still matters comes in the order it was said, urgent first, whoever tried most often', async () => {
    await stage.answers(...WRIST.slice(0, 4));
    stage.gateway.failWith(DOWN);
    stage.gateway.listing = false;
    await put('a', ['talk.noted', 'one'], ['talk.noted', 'two']);
    await stage.live('20 min');
    await put('b', ['talk.noted', 'three'], ['danger.bleeding', 'press']);
    await stage.live('40 min');
    expect(stage.gateway.sent).toEqual([]);
    await put('c', ['talk.noted', 'four']);
    stage.gateway.failWith(null);
    stage.gateway.listing = true;
    await stage.live('6 min');
    const inOrder = ['press', 'one', 'two', 'three', 'four'];
    expect(to(HELPER).filter((body) => inOrder.includes(body))).toEqual(inOrder);
  });

  test('the gateway is not stormed meanwhile', async () => {
    await watched();
    await put('a', ...Array.from({ length: 50 }, (_, at): [string, string] => ['talk.noted', `text ${at}`]));
    stage.gateway.failWith(DOWN);
    stage.gateway.listing = false;
    await stage.live('60 min');
    expect(stage.gateway.asked()).toBeLessThan(60);
  });

  test('two texts that it always fails on stop no other', async () => {
    const OTHERS = ['+12025550103', '+12025550104'];
    stage.gateway.failWith(DOWN, NURSE_BEN);
    await put('a', ['danger.bleeding', 'poison', NURSE_BEN], ['talk.noted', 'one', OTHERS[0]!]);
    await stage.live('5 min');
    await put('b', ['talk.noted', 'two', OTHERS[1]!]);
    await stage.live('5 min');
    expect(OTHERS.map((number) => to(number))).toEqual([['one'], ['two']]);
  });
});

test('slow: a text whose turn comes after half its lease is put back, so that another process sends nothing twice', async () => {
  await put(
    'a',
    ...['one', 'two', 'three', 'four', 'five'].map((text): [string, string] => ['talk.noted', text]),
  );
  const { ledger, world, realNow, settings } = stage.house;
  const another = { ledger, world, realNow, weather: calm(), gateway: gatewayOf(settings)! };
  let isOther = false;
  stage.gateway.meanwhile = async () => {
    stage.pass('25 s');
    if (isOther) return;
    isOther = true;
    await deliverDue(another, () => undefined);
    isOther = false;
  };
  await stage.carry();
  await stage.live('5 min');
  expect(to(HELPER).toSorted()).toEqual(['five', 'four', 'one', 'three', 'two']);
});

test('an unclear text that the list calls undelivered is a call to a clinician', async () => {
  await watched();
  stage.gateway.failWith('cut-after', HELPER);
  stage.gateway.listedAs = 'undelivered';
  await stage.after('10 min');
  stage.gateway.failWith(null);
  await stage.live('1 min');
  expect(to(NURSE_ADA)[0]).toMatch(/texts do not arrive/);
});

describe('an attempt whose outcome is not known', () => {
  test.each(['cut-after', 'mute'] as const)(
    '%s: it was sent, the list says so, and it is not sent again',
    async (trouble) => {
      await watched();
      stage.gateway.failWith(trouble);
      await stage.after('10 min');
      stage.gateway.failWith(null);
      await stage.live('1 min');
      expect(to(HELPER).filter(isCheck)).toHaveLength(1);
      expect(await statesOf(HELPER, /^check[.]ask/)).toContain('sent');
    },
    40_000,
  );

  test('cut-before: it was not sent, the list says so, and it is sent again', async () => {
    await watched();
    stage.gateway.failWith('cut-before');
    await stage.after('10 min');
    expect(to(HELPER)).toEqual([]);
    stage.gateway.failWith(null);
    await stage.live('1 min');
    expect(to(HELPER).filter(isCheck)).toHaveLength(1);
  });

  test('cut-before: a text with the same words that was sent just before is not taken for it', async () => {
    await put('a', ['talk.noted', 'again']);
    await stage.carry();
    stage.gateway.failWith('cut-before');
    await put('b', ['talk.noted', 'again']);
    await stage.carry();
    stage.gateway.failWith(null);
    await stage.live('1 min');
    expect(to(HELPER).filter((body) => body === 'again')).toHaveLength(2);
  });

  test('while the list cannot be read nothing is sent on a guess', async () => {
    await watched();
    stage.gateway.failWith('cut-after');
    stage.gateway.listing = false;
    await stage.after('10 min');
    stage.gateway.failWith(null);
    await stage.live('3 min');
    expect(to(HELPER).filter(isCheck)).toHaveLength(1);
    stage.gateway.listing = true;
    await stage.live('6 min');
    expect(to(HELPER).filter(isCheck)).toHaveLength(1);
    expect((await stage.house.ledger.figures()).oldestWaiting).toBeNull();
  });

  test('the process dies after sending: the text comes back unclear and is looked up', async () => {
    await watched();
    const before = stage.gateway.sent.length;
    const { ledger, realNow } = stage.house;
    await stage.after('10 min');
    expect(stage.gateway.sent.length).toBe(before + 1);
    // As it stands when the process died between sending and saying so.
    await put('x', ['talk.noted', 'once']);
    const [row] = await ledger.lease(realNow(), 20, 60_000);
    await gatewayOf(stage.house.settings)!.send({ to: HELPER, text: row!.text, line: row!.line });
    await stage.restart();
    await stage.live('3 min');
    expect(to(HELPER).filter((body) => body === 'once')).toHaveLength(1);
    expect(await statesOf(HELPER, /^talk[.]noted/)).toEqual(['sent']);
  });
});

test('a text that has to be tried again is not overtaken by the next to the same number', async () => {
  await put('a', ['talk.noted', 'one'], ['talk.noted', 'two']);
  stage.gateway.failWith({ status: 400, code: 21611 });
  stage.gateway.meanwhile = async (body) => {
    if (body === 'two') stage.gateway.failWith(null);
  };
  await stage.carry();
  stage.gateway.failWith(null);
  await stage.live('5 min');
  expect(to(HELPER)).toEqual(['one', 'two']);
});

test('too many requests: waited for, and sent once', async () => {
  await watched();
  stage.gateway.failWith({ status: 429, code: 20429 });
  await stage.after('10 min');
  expect(to(HELPER)).toEqual([]);
  stage.gateway.failWith(null);
  await stage.live('1 min');
  expect(to(HELPER).filter(isCheck)).toHaveLength(1);
});

describe('a text that cannot be delivered', () => {
  test('a check refused for good is a call at once, and the clinician reads why', async () => {
    await watched();
    stage.gateway.failWith({ status: 400, code: 21614 }, HELPER);
    await stage.after('10 min');
    stage.gateway.failWith(null);
    await stage.live('1 min');
    expect((await onlyCase()).call?.reasons).toContain('undelivered');
    expect(to(NURSE_ADA)[0]).toMatch(/NOW.*texts do not arrive/);
  });

  test('a plan that the phone does not take is sent again, at most twice, then a clinician is called', async () => {
    await stage.answers(...WRIST);
    const line = await lastLine(/^plan[.]/);
    await reportFailure(line, '30003');
    expect((await onlyCase()).call).toBeNull();
    await stage.live('3 min');
    expect(to(HELPER)).toHaveLength(1);
    for (let tries = 0; tries < 2; tries += 1) {
      const { ledger } = stage.house;
      const sid = `SM${String(stage.gateway.sent.length).padStart(32, '0')}`;
      await ledger.report({ line }, { again: stage.now(), most: 3 }, sid);
      await stage.live('3 min');
    }
    const sid = `SM${String(stage.gateway.sent.length).padStart(32, '0')}`;
    expect(await stage.house.ledger.report({ line }, { again: stage.now(), most: 3 }, sid)).toMatchObject({
      now: 'failed',
    });
  });

  test('a report with a code that nobody knows is the end of it: a clinician is called', async () => {
    await stage.answers(...WRIST);
    await reportFailure(await lastLine(/^plan[.]/), '39999');
    await stage.live('1 min');
    expect(to(NURSE_ADA)[0]).toMatch(/texts do not arrive/);
  });

  test('three texts that fail tell the clinician once', async () => {
    await stage.answers(...WRIST);
    await stage.text(HELPER, 'PLAN');
    for (const { line } of (await stage.house.ledger.thread(`sms:${HELPER}`, 0)).filter(
      (text) => text.key === 'plan.all',
    ))
      await reportFailure(line, '30005');
    await stage.live('1 min');
    expect(to(NURSE_ADA)).toHaveLength(1);
  });

  test('a helper in a watch who told the carrier to stop is a call, and is texted no more', async () => {
    await watched();
    stage.gateway.failWith({ status: 400, code: 21610 }, HELPER);
    await stage.after('10 min');
    stage.gateway.failWith(null);
    await stage.live('1 min');
    expect(to(NURSE_ADA)[0]).toMatch(/NOW.*helper sent STOP/);
    expect(await stage.house.ledger.contact(`sms:${HELPER}`)).toMatchObject({ optedOut: true });
    await stage.live('60 min');
    expect(to(HELPER)).toEqual([]);
  });

  test('a clinician whose phone takes no text is passed over at once, and rung again in the next round', async () => {
    await enrolled(stage, 'Ben Marsh', NURSE_BEN);
    stage.gateway.failWith({ status: 400, code: 30006 }, NURSE_ADA);
    await stage.answers('hello', '1', '1');
    await stage.live('10 s');
    expect((await onlyCase()).call).toMatchObject({ state: 'open', ringing: 'c-ben-marsh', rounds: 0 });
    expect(to(NURSE_BEN)).toEqual([expect.stringMatching(/1 accept/)]);
    stage.gateway.failWith(null);
    await stage.live('6 min');
    expect(to(NURSE_ADA)).toEqual([expect.stringMatching(/1 accept/)]);
  });

  test('the only clinician whose phone takes no text is not rung without end', async () => {
    stage.gateway.failWith({ status: 400, code: 30006 }, NURSE_ADA);
    await stage.answers('hello', '1', '1');
    await stage.live('14 min');
    expect(stage.gateway.asked() - stage.gateway.sent.length).toBeLessThanOrEqual(2);
    expect(to(HELPER).join('\n')).toMatch(/Nobody answers/);
  });

  test('a clinician who holds a case and cannot be texted any more holds it no more: the next is rung', async () => {
    await enrolled(stage, 'Ben Marsh', NURSE_BEN);
    await stage.answers('hello', '1', '1');
    await stage.text(NURSE_ADA, '1');
    stage.gateway.failWith({ status: 400, code: 30006 }, NURSE_ADA);
    await stage.helper('he is very pale now and asks for you');
    await stage.live('10 s');
    expect((await onlyCase()).call).toMatchObject({
      state: 'open',
      acceptedBy: null,
      ringing: 'c-ben-marsh',
    });
    expect(to(NURSE_BEN).at(-1)).toMatch(/1 accept/);
    expect(to(HELPER).at(-1)).toMatch(/A nurse is texted now/);
  });
});

test('reports in every order and twice: a text that arrived stays arrived', async () => {
  await stage.answers(...WRIST);
  const line = await lastLine(/^plan[.]/);
  for (const [status, code] of [
    ['delivered', null],
    ['sent', null],
    ['undelivered', '30003'],
    ['delivered', null],
    ['failed', '30005'],
  ] as const)
    await reported(line, status, code);
  const state = (await stage.house.ledger.thread(`sms:${HELPER}`, line - 1))[0]?.state;
  expect(state).toBe('delivered');
  expect((await onlyCase()).call).toBeNull();
});
