// Somebody leaves the rota: what rang for them or was in their hands goes to somebody else.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { passOnStray } from '../../src/mailroom/pass-on.ts';
import { enrolled, NURSE_ADA, NURSE_BEN, openStage, type Stage } from './stage.ts';

let stage: Stage;
let ada: string;
beforeEach(async () => {
  stage = await openStage();
  ada = (await enrolled(stage, 'Ada', NURSE_ADA)).id;
  await enrolled(stage, 'Ben', NURSE_BEN);
  await stage.answers('hello', '1', '1');
  await stage.carry();
  expect((await stage.newTexts(NURSE_ADA)).join()).toMatch(/NOW:.*bleeding/);
});
afterEach(() => stage.close());

async function leave(): Promise<number> {
  await stage.house.ledger.retire(ada);
  const passed = await passOnStray(stage.house.ledger, stage.house.world);
  await stage.carry();
  return passed;
}
const call = async () => (await stage.house.ledger.openCases(10))[0]?.call;

test('a call that rings for them rings for the next one at once', async () => {
  expect(await leave()).toBe(1);
  expect((await stage.newTexts(NURSE_BEN)).join()).toMatch(/NOW:.*bleeding/);
  expect(await call()).toMatchObject({ state: 'open', ringing: 'c-ben' });
  expect(await leave()).toBe(0);
});

test('a case they hold is open again, the next one is rung, and the helper is told not to wait', async () => {
  await stage.text(NURSE_ADA, '1');
  await stage.carry();
  await stage.newTexts('+12025550101');
  expect((await call())?.acceptedBy).toBe(ada);
  expect(await leave()).toBe(1);
  expect((await stage.newTexts(NURSE_BEN)).join()).toMatch(/NOW:.*bleeding/);
  expect((await stage.newTexts('+12025550101')).join()).toMatch(/Do not wait/);
  expect(await call()).toMatchObject({ state: 'open', acceptedBy: null, ringing: 'c-ben' });
});

test('what they text from then on is no clinician’s', async () => {
  await leave();
  await stage.text(NURSE_ADA, '1');
  expect(await call()).toMatchObject({ state: 'open', ringing: 'c-ben' });
});

test('where whoever took them off died before passing their calls on, a serve does it', async () => {
  await stage.text(NURSE_ADA, '1');
  await stage.carry();
  const { ledger, world } = stage.house;
  expect(await passOnStray(ledger, world)).toBe(0);
  await ledger.retire(ada);
  expect(await passOnStray(ledger, world)).toBe(1);
  await stage.carry();
  expect((await stage.newTexts(NURSE_BEN)).join()).toMatch(/NOW:.*bleeding/);
  expect(await call()).toMatchObject({ state: 'open', acceptedBy: null, ringing: 'c-ben' });
  expect(await passOnStray(ledger, world)).toBe(0);
});
