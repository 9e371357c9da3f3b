// What a clinician does at the desk, at the bedside: who holds a case, what the helper hears, and how the watch goes on.
import { expect, test } from 'vitest';
import type { CorrectedJoint } from '../../src/clinical/correct.ts';
import type { DeskAct } from '../../src/care/types.ts';
import {
  CUT_FINGER,
  GOOD,
  heardBy,
  held,
  isCheck,
  LITTLE_SORE,
  openBedside,
  opening,
  positionOf,
  saidKeys,
  textsTo,
  watched,
  WRIST,
  type Bedside,
} from './bedside.ts';

/** The plan's own position, with one joint changed. */
function position(bedside: Bedside, change: Partial<CorrectedJoint> & Pick<CorrectedJoint, 'joint'>) {
  return positionOf(bedside).map((asItIs) =>
    asItIs.joint === change.joint ? { ...asItIs, ...change } : asItIs,
  );
}
const WRIST_BACK: CorrectedJoint = { joint: 'wrist', direction: 'extension', degrees: [20, 30], aim: 25 };
const because = 'seen on a picture';

test('a case that nobody is called for is taken at the desk: the helper hears who has it, and nobody is texted', () => {
  const bedside = watched();
  bedside.helper(GOOD);
  const { sent, refusal } = bedside.desk('ada', { do: 'take' });
  expect(refusal).toBeNull();
  expect(bedside.case().call).toMatchObject({
    state: 'accepted',
    acceptedBy: 'ada',
    reasons: ['taken'],
    urgency: bedside.case().plan!.urgency,
  });
  expect(heardBy('helper', sent)).toContain('Nurse ada');
  expect([...textsTo('ada', sent), ...textsTo('ben', sent)]).toEqual([]);
});

test('two clinicians never hold a case: the second is refused and told who has it, and nothing is stored', () => {
  const bedside = held();
  const before = bedside.case();
  expect(bedside.desk('ben', { do: 'take' })).toEqual({
    sent: [],
    refusal: 'held-by-another',
    heldBy: 'ada',
  });
  expect(bedside.case()).toEqual(before);
});

test('taking at the desk what rings for somebody else tells them that it is taken', () => {
  const bedside = watched();
  bedside.helper('CARE');
  expect(bedside.case().call?.ringing).toBe('ada');
  const { sent } = bedside.desk('ben', { do: 'take' });
  expect(sent.filter(({ to }) => to === 'ada').map(({ key }) => key)).toEqual(['call.taken']);
  expect(bedside.timers()).not.toHaveProperty('ring');
});

test('what one takes at the desk they can end by text, and what one accepts by text they can put down at the desk', () => {
  const atDesk = held();
  atDesk.clinician('ada', `${atDesk.case().code} OVER`);
  expect(atDesk.case().call).toBeNull();

  const byText = watched();
  byText.helper('CARE');
  byText.clinician('ada', '1');
  const { sent, refusal } = byText.desk('ada', { do: 'put-down' });
  expect(refusal).toBeNull();
  expect(byText.case().call).toBeNull();
  expect(saidKeys(sent)).toEqual(['call.over']);
});

test('whoever does not hold the case does nothing with it but take it or pass it on', () => {
  const bedside = watched();
  const acts: DeskAct[] = [
    { do: 'put-down' },
    { do: 'write' },
    { do: 'check-now' },
    { do: 'resume' },
    { do: 'hold-back', on: true },
    { do: 'let-out', nth: 1, send: true },
    { do: 'correct', joints: [], reason: because },
    { do: 'set-pace', pace: 'closer', reason: because },
    { do: 'pause', hours: 1, reason: because },
    { do: 'conclude', outcome: 'healed' },
  ];
  for (const act of acts) expect([act.do, bedside.desk('ada', act).refusal]).toEqual([act.do, 'not-held']);
});

test('a case passed on rings first for whom it was meant, then down the rota', () => {
  const bedside = held(WRIST, { rota: ['ada', 'ben', 'cy'] });
  const { sent } = bedside.desk('ada', { do: 'pass', to: 'cy' });
  expect(bedside.case().call).toMatchObject({ state: 'open', ringing: 'cy', acceptedBy: null });
  expect(textsTo('cy', sent)).toHaveLength(1);
  expect([...textsTo('ada', sent), ...textsTo('ben', sent)]).toEqual([]);
  const rung = bedside.after('8 min').filter(({ key }) => key === 'call.ring');
  expect(rung[0]?.to).toBe('ben');
  expect(bedside.desk('ben', { do: 'pass', to: 'nobody' }).refusal).toBe('no-clinician');
});

test('what a clinician writes reaches the helper as theirs, and stands in no event', () => {
  const bedside = held();
  const { sent } = bedside.desk('ada', { do: 'write' }, 'Keep the hand high tonight');
  expect(sent).toHaveLength(1);
  expect(sent[0]).toMatchObject({ to: 'helper', from: 'clinician', key: 'relay' });
  expect(sent[0]!.text).toMatch(/Nurse ada.*Keep the hand high tonight/);
  expect(JSON.stringify(bedside.events(bedside.case().code))).not.toContain('high tonight');
});

test('who has a clinician already and speaks of a doctor is heard, and not told that a person is asked for', () => {
  const bedside = held();
  const before = bedside.sent.length;
  bedside.helper('at the clinic now, the doctor has him');
  const sent = bedside.sent.slice(before);
  expect(textsTo('helper', sent)).toEqual([]);
  expect(textsTo('ada', sent)).toEqual([expect.stringContaining('the doctor has him')]);
  expect(bedside.case().call?.reasons).not.toContain('asked-for');
});

test('where the helper speaks another language, they are told that the words are as they were written', () => {
  const bedside = held();
  bedside.helper('espanol');
  expect(bedside.case().language).toBe('es');
  const { sent } = bedside.desk('ada', { do: 'write' }, 'Keep the hand high tonight');
  expect(sent[0]!.text).toBe('Nurse ada (sin traducir): Keep the hand high tonight');
});

test('a check asked for at the desk is asked at once; one that is open is asked again, and its clock runs on', () => {
  const bedside = held();
  expect(bedside.desk('ada', { do: 'check-now' }).sent.filter(isCheck)).toHaveLength(1);
  const { since } = bedside.case().check!;
  bedside.now += 60_000;
  expect(bedside.desk('ada', { do: 'check-now' }).sent.filter(isCheck)).toHaveLength(1);
  expect(bedside.case().check?.since).toBe(since);
});

test.each(['healed', 'seen', 'handed-on', 'lost-contact'] as const)(
  'a case ended as "%s" says so to the helper, and no timer is left',
  (outcome) => {
    const bedside = held();
    const { sent } = bedside.desk('ada', { do: 'conclude', outcome });
    expect(saidKeys(sent)).toEqual([`care.ended.${outcome}`]);
    expect(bedside.case()).toMatchObject({ stage: 'ended', endedAs: outcome, call: null });
    expect(bedside.timers()).toEqual({});
    expect(bedside.desk('ada', { do: 'take' }).refusal).toBe('ended');
  },
);

test('a corrected plan reaches the helper whole, and old and new stay on record', () => {
  const bedside = held();
  const before = bedside.case().plan!;
  const asked = bedside.helper('PLAN');
  const { sent, refusal } = bedside.desk('ada', {
    do: 'correct',
    joints: position(bedside, WRIST_BACK),
    reason: because,
  });
  expect(refusal).toBeNull();
  expect(saidKeys(sent)[0]).toBe('care.corrected');
  expect(textsTo('helper', sent).slice(1)).not.toEqual(asked);
  const after = bedside.case();
  expect(after.plan!.position.find(({ joint }) => joint === 'wrist')).toEqual({
    ...WRIST_BACK,
    source: 'clinician',
  });
  expect(after.plan).toMatchObject({ cautions: before.cautions, calendar: before.calendar });
  expect(after.corrections).toEqual([
    expect.objectContaining({ at: bedside.now, by: 'ada', reason: because, before }),
  ]);
});

test('ten minutes after a splint is laid anew, circulation is looked at', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'correct', joints: position(bedside, WRIST_BACK), reason: because });
  expect(bedside.after('9 min').filter(isCheck)).toEqual([]);
  expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
});

test('where the splint has to change the helper is told to make it anew, and what the change goes against stays on record', () => {
  const bedside = held();
  const knuckle = { joint: 'ring.mcp', direction: 'flexion', degrees: [50, 70], aim: 60 } as const;
  const joints = [
    ...position(bedside, WRIST_BACK),
    { ...knuckle, degrees: [...knuckle.degrees] },
  ] as CorrectedJoint[];
  const { sent } = bedside.desk('ada', { do: 'correct', joints, reason: because });
  const plan = textsTo('helper', sent).join(' ');
  expect(plan).toMatch(/from 2\/3 up the forearm to short of the middle joint/);
  expect(saidKeys(sent)).toContain('care.splint-anew');
  expect(bedside.case().corrections![0]!.conflicts).toEqual(
    expect.arrayContaining([
      { kind: 'free-joint-lost', joint: 'ring.mcp' },
      { kind: 'splint', splint: bedside.case().plan!.splint },
    ]),
  );
});

test('a change of degrees alone leaves the splint the helper has made', () => {
  const bedside = held();
  const { sent } = bedside.desk('ada', {
    do: 'correct',
    joints: position(bedside, WRIST_BACK),
    reason: because,
  });
  expect(saidKeys(sent)).not.toContain('care.splint-anew');
});

test('a wrist beyond its normal motion is refused, and nothing changes', () => {
  const bedside = held();
  const before = bedside.case();
  const joints = position(bedside, { joint: 'wrist', direction: 'extension', degrees: [60, 80], aim: 70 });
  expect(bedside.desk('ada', { do: 'correct', joints, reason: because })).toMatchObject({
    sent: [],
    refusal: 'faulty-plan',
  });
  expect(bedside.case()).toEqual(before);
});

test('what is told of the material afterwards does not undo a correction', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST);
  bedside.desk('ada', { do: 'take' });
  bedside.desk('ada', { do: 'correct', joints: position(bedside, WRIST_BACK), reason: because });
  bedside.answers('1 1 1 1', '4');
  expect(bedside.case().material).not.toBeNull();
  expect(bedside.case().plan!.position.find(({ joint }) => joint === 'wrist')).toMatchObject(WRIST_BACK);
});

test('a hand that turns out without blood flow lies as it lies, corrected or not, and the clinician hears of it', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST);
  bedside.desk('ada', { do: 'take' });
  bedside.desk('ada', { do: 'correct', joints: position(bedside, WRIST_BACK), reason: because });
  const before = bedside.sent.length;
  bedside.helper('9 1 2 1');
  bedside.helper('2');
  bedside.helper('2');
  if (bedside.case().plan?.hold !== 'as-it-lies') bedside.answers('9 1 3 3');
  expect(bedside.case().plan?.hold).toBe('as-it-lies');
  expect(textsTo('ada', bedside.sent.slice(before)).length).toBeGreaterThan(0);
});

test('a hand that lies as it lies can be laid in a position by a clinician, who is told what that goes against; its checks go on', () => {
  const bedside = openBedside();
  bedside.answers('hello', '1', '5', '6', '1', '2 R', '1 1 1 1');
  expect(bedside.case()).toMatchObject({ stage: 'watching', plan: { hold: 'as-it-lies', splints: [] } });
  bedside.desk('ada', { do: 'take' });
  const { sent, refusal } = bedside.desk('ada', { do: 'correct', joints: [WRIST_BACK], reason: because });
  expect(refusal).toBeNull();
  expect(bedside.case().plan).toMatchObject({
    hold: 'as-planned',
    position: [{ joint: 'wrist', source: 'clinician' }],
    splint: { from: 'forearm-two-thirds', to: 'palm-10mm-short-of-crease' },
  });
  expect(bedside.case().corrections![0]!.conflicts).toContainEqual({ kind: 'as-it-lies' });
  expect(textsTo('helper', sent).join(' ')).toMatch(/Wrist: bent back 25 degrees/);
  expect(bedside.after('10 min').filter(isCheck)).toHaveLength(1);
});

test('a hand that may move freely has no position to correct', () => {
  const bedside = openBedside();
  bedside.answers(...LITTLE_SORE);
  bedside.desk('ada', { do: 'take' });
  expect(bedside.case().plan?.hold).toBe('free');
  expect(bedside.desk('ada', { do: 'correct', joints: [WRIST_BACK], reason: because }).refusal).toBe(
    'no-position',
  );
});

test('a closer watch asks more often, a wider one more rarely, and as planned is as it was', () => {
  const checksIn = (pace: 'closer' | 'planned' | 'wider') => {
    const bedside = held(CUT_FINGER);
    answerAll(bedside, 5);
    bedside.desk('ada', { do: 'take' });
    expect(bedside.desk('ada', { do: 'set-pace', pace, reason: because }).refusal).toBeNull();
    return answerAll(bedside, 24);
  };
  const planned = checksIn('planned');
  expect(checksIn('closer')).toBeGreaterThan(planned);
  expect(checksIn('wider')).toBeLessThan(planned);
});

/** Answers each check as good for so many hours; gives back how many there were. */
function answerAll(bedside: Bedside, hours: number): number {
  let checks = 0;
  for (let minute = 0; minute < hours * 60; minute += 5) {
    bedside.after('5 min');
    if (bedside.case().check === null) continue;
    checks += 1;
    bedside.helper(GOOD);
  }
  return checks;
}

test('nobody makes the watch wider in the first four hours, or while a check is open, or after one that was not good', () => {
  const wider = { do: 'set-pace', pace: 'wider', reason: because } as const;
  const early = held();
  expect(early.desk('ada', wider).refusal).toBe('too-early');
  answerAll(early, 5);
  early.desk('ada', { do: 'take' });
  expect(early.desk('ada', wider).refusal).toBeNull();
  early.desk('ada', { do: 'check-now' });
  expect(early.desk('ada', wider).refusal).toBe('not-well');
  early.helper('2.5 2 1 1 2');
  expect(early.case().loosened).toBe(true);
  expect(early.desk('ada', wider).refusal).toBe('not-well');
});

test('a wider watch that fails a check is as close as planned again until all is well', () => {
  const bedside = held();
  answerAll(bedside, 5);
  bedside.desk('ada', { do: 'take' });
  bedside.desk('ada', { do: 'set-pace', pace: 'wider', reason: because });
  const wide = bedside.timers()['check']!;
  bedside.desk('ada', { do: 'check-now' });
  bedside.helper('6 1 2 2 3');
  expect(bedside.case().checks.at(-1)?.verdict.outcome).toBe('failed');
  expect(bedside.timers()['check']).toBeLessThan(wide);
});

test('a paused watch asks nothing until its end, and then asks at once', () => {
  const bedside = held();
  const { sent } = bedside.desk('ada', { do: 'pause', hours: 6, reason: because });
  expect(heardBy('helper', sent)).toMatch(/6 h.*WORSE/);
  expect(bedside.after('359 min').filter(isCheck)).toEqual([]);
  expect(bedside.case().call?.reasons).not.toContain('silent');
  expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
});

test('a pause stays a pause when the watch is made closer meanwhile', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'pause', hours: 6, reason: because });
  bedside.desk('ada', { do: 'set-pace', pace: 'closer', reason: because });
  expect(bedside.after('359 min').filter(isCheck)).toEqual([]);
  expect(bedside.after('1 min').filter(isCheck)).toHaveLength(1);
});

test.each(['WORSE', 'his hand is numb and white', 'it bleeds through, blood everywhere'])(
  '"%s" ends a pause: the hand is looked at',
  (words) => {
    const bedside = held();
    bedside.desk('ada', { do: 'pause', hours: 6, reason: because });
    bedside.helper(words);
    expect(bedside.timers()).not.toHaveProperty('pause');
    expect(bedside.case().check).not.toBeNull();
  },
);

test('a pause is half an hour to twelve hours, and is ended by the clinician with a check', () => {
  const bedside = held();
  for (const hours of [0, 0.4, 12.5, NaN])
    expect(bedside.desk('ada', { do: 'pause', hours, reason: because }).refusal).toBe('no-hours');
  bedside.desk('ada', { do: 'pause', hours: 12, reason: because });
  expect(bedside.desk('ada', { do: 'resume' }).sent.filter(isCheck)).toHaveLength(1);
  expect(bedside.timers()).not.toHaveProperty('pause');
});

test('what the program would say waits for the clinician; a check and what follows from a bad one never do', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'hold-back', on: true });
  expect(bedside.desk('ada', { do: 'check-now' }).sent.filter(isCheck)).toHaveLength(1);
  expect(bedside.helper(GOOD)).toEqual([]);
  expect(bedside.case().heldBack).toHaveLength(1);
  bedside.desk('ada', { do: 'check-now' });
  expect(bedside.helper('2.5 2 1 1 2').join()).toContain(opening('check.loosen'));
  bedside.after('10 min');
  expect(bedside.helper('6 1 2 2 3').join()).toContain(opening('check.failed'));
});

test('a held-back saying is let out or kept in by the clinician, once', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'hold-back', on: true });
  bedside.desk('ada', { do: 'check-now' });
  bedside.helper(GOOD);
  const [first] = bedside.case().heldBack!;
  const { sent } = bedside.desk('ada', { do: 'let-out', nth: first!.id, send: true });
  expect(saidKeys(sent)[0]).toMatch(/^check[.]good/);
  expect(bedside.case()).not.toHaveProperty('heldBack');
  expect(bedside.desk('ada', { do: 'let-out', nth: first!.id, send: true }).refusal).toBe(
    'nothing-held-back',
  );

  bedside.desk('ada', { do: 'check-now' });
  bedside.helper(GOOD);
  const [second] = bedside.case().heldBack!;
  expect(bedside.desk('ada', { do: 'let-out', nth: second!.id, send: false }).sent).toEqual([]);
  expect(saidKeys(bedside.after('30 min')).filter((key) => key.startsWith('check.good'))).toEqual([]);
});

test('what nobody decides on goes out by itself after ten minutes, once', () => {
  const bedside = held();
  answerAll(bedside, 5);
  bedside.desk('ada', { do: 'take' });
  bedside.desk('ada', { do: 'hold-back', on: true });
  bedside.desk('ada', { do: 'check-now' });
  bedside.helper(GOOD);
  expect(saidKeys(bedside.after('9 min'))).toEqual([]);
  expect(saidKeys(bedside.after('1 min'))[0]).toMatch(/^check[.]good/);
  expect(bedside.case()).not.toHaveProperty('heldBack');
  expect(bedside.timers()).not.toHaveProperty('held-back');
});

test.each([
  ['putting the case down', (bedside: Bedside) => bedside.desk('ada', { do: 'put-down' }).sent],
  ['passing it on', (bedside: Bedside) => bedside.desk('ada', { do: 'pass', to: 'ben' }).sent],
  ['switching it off', (bedside: Bedside) => bedside.desk('ada', { do: 'hold-back', on: false }).sent],
  [
    'a clinician who is not reached',
    (bedside: Bedside) => bedside.happens({ kind: 'unreached', clinician: 'ada' }),
  ],
  [
    'ending the call by text',
    (bedside: Bedside) => bedside.text('sms:+12025550190', `${bedside.case().code} OVER`),
  ],
])('%s lets out all that waits', (_, act) => {
  const bedside = held();
  bedside.desk('ada', { do: 'hold-back', on: true });
  bedside.desk('ada', { do: 'check-now' });
  bedside.helper(GOOD);
  expect(saidKeys(act(bedside)).some((key) => key.startsWith('check.good'))).toBe(true);
  expect(bedside.timers()).not.toHaveProperty('held-back');
});

test('whoever stops the texts while something waits is watched again as soon as they come back', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'hold-back', on: true });
  bedside.desk('ada', { do: 'check-now' });
  bedside.helper(GOOD);
  bedside.helper('STOP');
  expect(bedside.desk('ada', { do: 'set-pace', pace: 'closer', reason: because }).refusal).toBe('opted-out');
  bedside.helper('START');
  expect(bedside.case().check).not.toBeNull();
  expect(bedside.timers()).toHaveProperty('silent');
});

test('a case with acts of the desk replays from its events to the same state', () => {
  const bedside = held();
  bedside.desk('ada', { do: 'hold-back', on: true });
  bedside.desk('ada', { do: 'correct', joints: position(bedside, WRIST_BACK), reason: because });
  bedside.after('10 min');
  bedside.helper(GOOD);
  bedside.desk('ada', { do: 'pause', hours: 1, reason: because });
  bedside.after('2 h');
  expect(bedside.replayed(bedside.case().code)).toEqual(bedside.case());
});
