// Acts of the desk on a real ledger: of two at once one goes through, a refused one stores nothing, and words stay out of events.
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { DeskAct } from '../../src/care/types.ts';
import { actAtDesk } from '../../src/mailroom/desk-act.ts';
import { ADA, ELISA, openPractice, WRIST_WATCHED, type Practice } from '../record/practice-house.ts';

let practice: Practice;
beforeAll(async () => void (practice = await openPractice()));
afterAll(() => practice.close());

const act = (code: string, clinician: string, does: DeskAct, text = '') =>
  actAtDesk(practice.house.ledger, practice.house.world, { code, clinician, act: does, text });

test('of two clinicians who take a case at once one has it, and the other is told who', async () => {
  const code = await practice.lives('+12025550111', WRIST_WATCHED);
  const [ada, elisa] = await Promise.all([
    act(code, ADA.id, { do: 'take' }),
    act(code, ELISA.id, { do: 'take' }),
  ]);
  expect(ada).toMatchObject({ done: true, case: { call: { state: 'accepted', acceptedBy: ADA.id } } });
  expect(elisa).toEqual({ done: false, refusal: 'held-by-another', heldBy: ADA.id });
});

test('what is refused stores no event and sends no text', async () => {
  const code = await practice.lives('+12025550112', WRIST_WATCHED);
  const { ledger } = practice.house;
  const before = [await ledger.events(code), await ledger.conversation(code)];
  expect(await act(code, ADA.id, { do: 'check-now' })).toMatchObject({ done: false, refusal: 'not-held' });
  expect([await ledger.events(code), await ledger.conversation(code)]).toEqual(before);
});

test('what a clinician writes is kept as their text, and in no event', async () => {
  const code = await practice.lives('+12025550113', WRIST_WATCHED);
  await act(code, ADA.id, { do: 'take' });
  await act(code, ADA.id, { do: 'write' }, 'Keep it dry, please');
  const { ledger } = practice.house;
  const last = (await ledger.conversation(code)).at(-1);
  expect(last).toMatchObject({ from: 'clinician', direction: 'out' });
  expect(last?.text).toContain('Keep it dry, please');
  expect(JSON.stringify(await ledger.events(code))).not.toContain('Keep it dry');
});

test('what was corrected, paused and held back is there again when the case is read back', async () => {
  const code = await practice.lives('+12025550114', WRIST_WATCHED);
  await act(code, ADA.id, { do: 'take' });
  await act(code, ADA.id, { do: 'hold-back', on: true });
  await act(code, ADA.id, {
    do: 'correct',
    joints: [{ joint: 'wrist', direction: 'extension', degrees: [20, 30], aim: 25 }],
    reason: 'a picture',
  });
  const done = await act(code, ADA.id, { do: 'pause', hours: 2, reason: 'they sleep' });
  const kept = await practice.house.ledger.case(code);
  expect(done).toEqual({ done: true, case: kept });
  expect(kept).toMatchObject({ holdsBack: true, corrections: [{ by: ADA.id, reason: 'a picture' }] });
  expect(kept?.timers).toHaveProperty('pause');
});

test('no such case, and one that ended, are refused', async () => {
  expect(await act('Z9Z9', ADA.id, { do: 'take' })).toMatchObject({ done: false, refusal: 'ended' });
  const code = await practice.lives('+12025550115', WRIST_WATCHED);
  await act(code, ADA.id, { do: 'take' });
  await act(code, ADA.id, { do: 'conclude', outcome: 'seen' });
  expect(await act(code, ADA.id, { do: 'take' })).toMatchObject({ done: false, refusal: 'ended' });
});
