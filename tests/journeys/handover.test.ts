// A case by SMS is handed on: the gateway carries the texts to the facility, and the helper's talk goes on as it was.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { handOn } from '../../src/mailroom/hand-on.ts';
import { recall } from '../../src/mailroom/recall.ts';
import { facilityTexts } from '../../src/record/facility-texts.ts';
import { tellIn } from '../../src/record/tell.ts';
import { openStage, type Stage } from './stage.ts';

const FACILITY = '+12025550177';
let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => stage.close());

test('three texts go out by SMS, in order, and the helper is asked the next check on time', async () => {
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '1 1 1 1', '4', 'DONE', '8');
  const { ledger, world } = stage.house;
  const [of] = await ledger.openCases(1);
  const recorded = await recall(ledger, world, of!.code);
  const textsOf = () => facilityTexts(tellIn(recorded!, 'en'));
  expect(await handOn(ledger, world, { code: of!.code, number: FACILITY, textsOf })).toBe('sent');
  const texts = await stage.newTexts(FACILITY);
  expect(texts.map((text) => text.slice(0, 4))).toEqual(['1/3 ', '2/3 ', '3/3 ']);
  expect(texts.join(' ')).toContain('right wrist: maybe broken wrist.');
  const later = await stage.after('10 min');
  expect(later.map(({ body }) => body).join(' ')).toContain('Check.');
  expect(later.every(({ to }) => to !== FACILITY)).toBe(true);
});
