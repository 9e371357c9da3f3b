// A clinician's correction that changes the splint: the new one is waited for and looked at like the first, and the watch
// of the blood goes on meanwhile.
import { expect, test } from 'vitest';
import type { CorrectedJoint } from '../../src/clinical/correct.ts';
import { turn } from '../../src/care/turn.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import {
  GOOD,
  held,
  HELPER,
  isCheck,
  openBedside,
  positionOf,
  saidKeys,
  textsTo,
  watched,
  WRIST,
  type Bedside,
  type Sent,
} from './bedside.ts';

const because = 'the ring finger is hurt too';
const KNUCKLE: CorrectedJoint = { joint: 'ring.mcp', direction: 'flexion', degrees: [50, 70], aim: 60 };

const lastKey = (bedside: Bedside) => saidKeys(bedside.sent).at(-1);

/** The knuckle joins what the splint holds: it has to reach further. */
function correct(bedside: Bedside): Sent[] {
  const { sent, refusal } = bedside.desk('ada', {
    do: 'correct',
    joints: [...positionOf(bedside), KNUCKLE],
    reason: because,
  });
  expect(refusal).toBeNull();
  return sent;
}

/** On watch, the first check good, held by Ada, and just corrected. */
function corrected(): Bedside {
  const bedside = held();
  correct(bedside);
  return bedside;
}

test('the newest text after the new plan says how to tell that the new splint is on', () => {
  expect(lastKey(corrected())).toBe('talk.when-on');
});

test('once the new splint is on it is looked at, a fault is mended, and a good one is looked at for blood soon', () => {
  const bedside = corrected();
  expect(saidKeys(bedside.text(HELPER, 'DONE'))).toEqual(['ask.fit']);
  bedside.helper('edge digs in');
  expect(bedside.case()).toMatchObject({ stage: 'watching', fitFailures: 1, question: { id: 'fit' } });
  const fittedAt = bedside.case().fittedAt;
  bedside.helper('all right');
  expect(lastKey(bedside)).toBe('check.good-minutes');
  expect(textsTo('helper', bedside.sent).at(-1)).toMatch(/^Good\. I ask again in 10 min\. .*text WORSE/);
  expect(bedside.case()).toMatchObject({ stage: 'watching', fittedAt, question: null });
  expect(bedside.after('9 min').filter(isCheck)).toEqual([]);
  expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
});

test('a check that comes while it is made goes first; then the new splint is waited for again', () => {
  const bedside = corrected();
  expect(bedside.after('10 min').filter(isCheck)).toHaveLength(1);
  bedside.helper(GOOD);
  expect(lastKey(bedside)).toBe('talk.when-on');
  bedside.helper('DONE');
  expect(bedside.case().question?.id).toBe('fit');
});

test('the word that it is on, told to a check, is kept: after the check the splint is looked at', () => {
  const bedside = corrected();
  bedside.after('10 min');
  const told = bedside.text(HELPER, 'DONE');
  expect(saidKeys(told)).toEqual(['talk.noted', 'check.ask']);
  bedside.helper(GOOD);
  expect(bedside.case().question?.id).toBe('fit');
});

test('the wound and the skin are cared for while it is made, however long that takes', () => {
  const bedside = corrected();
  const tips = ['care.wound', 'care.skin', 'care.tips', 'care.painkiller', 'care.move', 'care.stays'];
  bedside.after('10 min');
  const sent = bedside.text(HELPER, GOOD);
  expect(saidKeys(sent)).toEqual(['check.good-minutes', expect.toBeOneOf(tips), 'talk.when-on']);
});

test('a watch that a clinician paused stays quiet: the new splint is looked at, and no check is promised', () => {
  const bedside = corrected();
  bedside.desk('ada', { do: 'pause', hours: 4, reason: because });
  bedside.answers('DONE', 'all right');
  expect(lastKey(bedside)).toBe('talk.noted');
  expect(bedside.timers()).toHaveProperty('pause');
});

test('a count that is not good is answered alone: nobody is asked for the splint before the blood is well', () => {
  const bedside = corrected();
  bedside.after('10 min');
  bedside.helper('5 1 3 1 2');
  expect(bedside.case().question).toBeNull();
  expect(lastKey(bedside)).toBe('check.failed');
});

test('a check that is open while the plan is corrected stays open, and the splint is asked for after it', () => {
  const bedside = watched();
  bedside.desk('ada', { do: 'take' });
  const since = bedside.case().check?.since;
  correct(bedside);
  expect(bedside.case()).toMatchObject({ check: { since }, question: null });
  bedside.helper(GOOD);
  expect(lastKey(bedside)).toBe('talk.when-on');
});

test('looked at three times without sitting right, whoever holds the case hears of it', () => {
  const bedside = corrected();
  bedside.helper('DONE');
  const before = bedside.sent.length;
  bedside.answers('edge digs in', 'edge digs in', 'edge digs in');
  expect(bedside.case().call?.reasons).toContain('fit');
  expect(textsTo('ada', bedside.sent.slice(before)).length).toBeGreaterThan(0);
});

test('its sizes can be asked for while it is made, and it is waited for again', () => {
  const bedside = corrected();
  bedside.helper('SIZE');
  expect(bedside.case().question?.id).toBe('size');
  bedside.helper('18 cm');
  expect(saidKeys(bedside.sent).slice(-3)).toEqual(['size.lengths', 'size.straps', 'talk.when-on']);
  expect(bedside.timers()).not.toHaveProperty('nudge');
});

test('corrected while the first splint is looked at, that one is not looked at any more: the new one is waited for', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST, '1 1 1 1', '4', 'DONE');
  expect(bedside.case().stage).toBe('fitting');
  bedside.desk('ada', { do: 'take' });
  correct(bedside);
  expect(bedside.case()).toMatchObject({ stage: 'preparing', question: { id: 'splint-on' } });
  expect(lastKey(bedside)).toBe('talk.when-on');
  expect(bedside.timers()).toHaveProperty('nudge');
  bedside.answers('DONE', 'all right');
  expect(bedside.case()).toMatchObject({ stage: 'watching', fittedAt: bedside.now });
});

test('a second correction asks for the splint once more, also where the first one sat', () => {
  const bedside = corrected();
  bedside.answers('DONE', 'all right');
  const joints = positionOf(bedside).filter(({ joint }) => joint !== KNUCKLE.joint);
  bedside.desk('ada', { do: 'correct', joints, reason: because });
  expect(lastKey(bedside)).toBe('talk.when-on');
  bedside.helper('DONE');
  expect(bedside.case().question?.id).toBe('fit');
});

test('degrees alone change no splint, and nobody is asked whether one is on', () => {
  const bedside = held();
  const joints = positionOf(bedside).map((wrist): CorrectedJoint => ({
    ...wrist,
    degrees: [20, 30],
    aim: 25,
  }));
  bedside.desk('ada', { do: 'correct', joints, reason: because });
  expect(saidKeys(bedside.sent)).not.toContain('care.splint-anew');
  bedside.helper('DONE');
  expect(bedside.case()).toMatchObject({ stage: 'watching', question: { id: 'nerves' } });
});

test('a correction from before that was so replays as it was', () => {
  const bedside = corrected();
  const { code } = bedside.case();
  const events = bedside.events(code).map((event) => {
    if (event.kind !== 'desk' || event.act.do !== 'correct') return event;
    const { refit: _today, ...act } = event.act;
    return { ...event, act };
  });
  const before = events.reduce<ReturnType<Bedside['case']> | null>(
    (of, event) => turn(of, event, PROTOCOL).case,
    null,
  );
  expect(before).toMatchObject({ stage: 'watching', question: { id: 'nerves' } });
  expect(before?.facts).not.toHaveProperty('refit');
});
