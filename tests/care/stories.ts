// Stories for the laws of the case: what helpers, clinicians and clocks might do, in any order, and living through them.
import fc from 'fast-check';
import type { CaseEvent, Decision, DeskAct } from '../../src/care/types.ts';
import { JOINTS } from '../../src/clinical/anatomy.ts';
import { limitsOf, type CorrectedJoint } from '../../src/clinical/correct.ts';
import {
  CUT_FINGER,
  FINGERTIP,
  HELPER,
  LITTLE_SORE,
  openBedside,
  WRIST,
  type Bedside,
  type Sent,
} from './bedside.ts';

type Act =
  | { do: 'helper'; text: string; pictures: number }
  | { do: 'clinician'; id: string; text: string }
  | { do: 'wait'; span: string }
  | { do: 'fire'; timer: string }
  | { do: 'happens'; event: CaseEvent }
  | { do: 'desk'; id: string; act: DeskAct };

const said = fc.oneof(
  {
    arbitrary: fc.constantFrom('1', '2', '3', '4', '5', '6', '7', '8', '0', '12', '45', '1 6', '9'),
    weight: 10,
  },
  {
    arbitrary: fc.constantFrom('2 R', '5 R', '2 5 L', '4 L C', '3 R O', '3 C', '4 F', '2 A', '1 D', '5 C'),
    weight: 6,
  },
  {
    arbitrary: fc.constantFrom(
      '1 1 1 1',
      '1 1 1 1 2',
      '4 4 1 1 3',
      '3 2 2 2 2',
      'X X X X X',
      '2.5 1 1 2 3',
      '2 1',
    ),
    weight: 8,
  },
  {
    arbitrary: fc.constantFrom(
      'X',
      'yes',
      'no',
      'palm side',
      'deep',
      'not deep',
      'blue',
      'numb',
      'no idea',
      'left',
    ),
    weight: 4,
  },
  {
    arbitrary: fc.constantFrom(
      'CARE',
      'WORSE',
      'PLAN',
      'AGAIN',
      'BACK',
      'NEW',
      'DONE',
      'STUCK',
      'SIZE',
      'PICTURE',
    ),
    weight: 6,
  },
  {
    arbitrary: fc.constantFrom('STOP', 'START', 'HELP', 'FORGET', 'YES', 'español', 'english', 'hola'),
    weight: 2,
  },
  {
    arbitrary: fc.constantFrom('', '👍', '?', 'the cut is deep and it hurts a lot '.repeat(40), '٣', '१'),
    weight: 3,
  },
  { arbitrary: fc.string({ unit: 'grapheme', maxLength: 20 }), weight: 2 },
);
const act: fc.Arbitrary<Act> = fc.oneof(
  {
    arbitrary: fc.record({
      do: fc.constant('helper' as const),
      text: said,
      pictures: fc.constantFrom(0, 0, 0, 0, 1),
    }),
    weight: 12,
  },
  {
    arbitrary: fc.record({
      do: fc.constant('clinician' as const),
      id: fc.constantFrom('ada', 'ben'),
      text: fc.constantFrom(
        '1',
        '2',
        'over',
        'CODE over',
        'CODE come in now',
        'CODE close',
        'CODE 2',
        'come in now',
        '',
        'B2B2 1',
        'B2B2 over',
        'STOP',
        'pass',
        'x'.repeat(500),
      ),
    }),
    weight: 3,
  },
  {
    arbitrary: fc.record({
      do: fc.constant('wait' as const),
      span: fc.constantFrom('1 min', '5 min', '10 min', '1 h', '9 h', '3 d'),
    }),
    weight: 4,
  },
  {
    arbitrary: fc.record({
      do: fc.constant('fire' as const),
      timer: fc.constantFrom('check', 'recheck', 'silent', 'ring', 'nudge', 'skin', 'review'),
    }),
    weight: 1,
  },
  {
    arbitrary: fc.record({
      do: fc.constant('happens' as const),
      event: fc.constantFrom<CaseEvent>(
        { kind: 'undelivered', key: 'check.ask' },
        { kind: 'version-withdrawn', reason: 'x' },
        { kind: 'handed-on', parts: 3 },
        { kind: 'clinician', clinician: 'ben', act: 'accept' },
        { kind: 'clinician', clinician: 'ben', act: 'pass' },
        { kind: 'clinician', clinician: 'ada', act: 'over' },
      ),
    }),
    weight: 1,
  },
);
const IN_SPANISH = [
  ['hola', '1', '6', '6', '1', '2 D', '1'],
  ['hola', '1', '6', '6', '3', '5 D', '1', '2', '3 D'],
  ['hola', '1', '6', '6', '1', '3 I', '5 N', '1'],
];
export const story = fc.record({
  way: fc.constantFrom(WRIST, FINGERTIP, CUT_FINGER, LITTLE_SORE, ...IN_SPANISH, ['hello', '1', '1'], ['hi']),
  rota: fc.constantFrom<string[]>(['ada', 'ben'], ['ada'], []),
  acts: fc.array(act, { maxLength: 25 }),
});

/** A joint held somewhere, mostly as it can be. */
const corrected: fc.Arbitrary<CorrectedJoint> = fc
  .record({
    joint: fc.constantFrom(...JOINTS),
    way: fc.nat(1),
    at: fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true })),
    beyond: fc.constantFrom(0, 0, 0, 0, 15, NaN),
  })
  .map(({ joint, way, at, beyond }) => {
    const limits = limitsOf(joint);
    const { direction, from, to } = limits[way] ?? limits[0]!;
    const [near, far] = at.map((part) => Math.round(from + part * (to - from))).toSorted((a, b) => a - b);
    const least = near ?? 0;
    const most = Math.min(far ?? 0, least + 50) + beyond;
    return { joint, direction, degrees: [least, most], aim: Math.round((least + most) / 2) };
  });

const reason = 'seen on a picture';
export const deskAct: fc.Arbitrary<DeskAct> = fc.oneof(
  fc.constantFrom<DeskAct>(
    { do: 'take' },
    { do: 'take' },
    { do: 'put-down' },
    { do: 'pass', to: 'ada' },
    { do: 'pass', to: 'ben' },
    { do: 'write' },
    { do: 'hold-back', on: true },
    { do: 'hold-back', on: true },
    { do: 'hold-back', on: false },
    { do: 'set-pace', pace: 'closer', reason },
    { do: 'set-pace', pace: 'wider', reason },
    { do: 'set-pace', pace: 'planned', reason },
    { do: 'check-now' },
    { do: 'pause', hours: 0.5, reason },
    { do: 'pause', hours: 12, reason },
    { do: 'resume' },
  ),
  fc.record({ do: fc.constant('let-out' as const), nth: fc.nat(40), send: fc.boolean() }),
  fc.record({
    do: fc.constant('correct' as const),
    joints: fc.uniqueArray(corrected, { maxLength: 6, selector: ({ joint }) => joint }),
    reason: fc.constant(reason),
  }),
);

const FITTED = ['1 1 1 1', '4', 'DONE', '8', '1 1 1 1 2'];
/** As told before, with a clinician or two at the desk: mostly on a case that is watched. */
export const storyAtDesk = fc.record({
  way: fc.constantFrom<string[][]>(
    [...WRIST, ...FITTED],
    [...FINGERTIP, ...FITTED],
    [...CUT_FINGER, ...FITTED],
    WRIST,
    CUT_FINGER,
    LITTLE_SORE,
  ),
  rota: fc.constant<string[]>(['ada', 'ben']),
  acts: fc.array(
    fc.oneof(
      { arbitrary: act, weight: 2 },
      {
        arbitrary: fc.record({
          do: fc.constant('desk' as const),
          id: fc.constantFrom('ada', 'ada', 'ada', 'ben'),
          act: deskAct,
        }),
        weight: 3,
      },
    ),
    { maxLength: 30 },
  ),
});

/** Lives through a story; `look` is called after every act with what was sent by it. */
export function live(
  { way, rota, acts }: { way: string[]; rota: string[]; acts: Act[] },
  look: (bedside: Bedside, sent: Sent[], decisions: Decision[], act: Act) => void,
): Bedside {
  const bedside = openBedside({ rota });
  const all: Act[] = [...way.map((text): Act => ({ do: 'helper', text, pictures: 0 })), ...acts];
  for (const each of all) {
    const from = bedside.decisions.length;
    const sent = perform(bedside, each);
    look(bedside, sent, bedside.decisions.slice(from), each);
  }
  return bedside;
}

function perform(bedside: Bedside, each: Act): Sent[] {
  switch (each.do) {
    case 'helper':
      return bedside.text(HELPER, each.text, each.pictures);
    case 'clinician': {
      const before = bedside.sent.length;
      bedside.clinician(each.id, each.text.replace('CODE', bedside.cases().at(-1)?.code ?? 'CODE'));
      return bedside.sent.slice(before);
    }
    case 'wait':
      return bedside.after(each.span);
    case 'fire':
      return bedside.cases().length === 0 ? [] : bedside.fire(each.timer);
    case 'happens':
      return bedside.cases().length === 0 ? [] : bedside.happens(each.event);
    case 'desk':
      return bedside.cases().length === 0 ? [] : bedside.desk(each.id, each.act, 'own words').sent;
  }
}
