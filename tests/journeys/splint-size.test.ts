// SIZE while the splint is being made: lengths from a hand or from bank cards, and a clear word where nothing is known.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openStage, type Stage } from './stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
  await stage.answers('hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', '1');
});
afterEach(() => stage.close());

test('centimetres of the good hand give lengths with their error, and DONE is waited for again', async () => {
  expect((await stage.helper('SIZE'))[0]).toMatch(/GOOD hand/);
  const [lengths, straps] = await stage.helper('18.5 8.4');
  expect(lengths).toMatch(/16\.9|17 cm up the forearm.*give or take/is);
  expect(straps).toMatch(/wrist \d\d(\.\d)? cm.*scale 99%/s);
  expect((await stage.helper('DONE'))[0]).toMatch(/^Splint: text ALL wrong/);
});

test('without a ruler: long sides of a bank card', async () => {
  await stage.helper('size');
  expect((await stage.helper('2.2 cards')).join(' ')).toMatch(/scale 101%/);
});

test("a child's hand is outside what was measured: the good arm is the measure", async () => {
  await stage.helper('size');
  expect((await stage.helper('12')).join(' ')).toMatch(/against the good arm/);
});
