// How slack positions leave a tendon, against published moment arms: Ketchum 1978, in table 45.3 of Occupational
// Ergonomics, chapter 45. The extensor's arms (An et al. 1983) and all wrist arms are from memory, and said to be so
// in flows/sources.yaml.
import { describe, expect, test } from 'vitest';
import type { Finger, Joint } from '../../src/model.ts';
import { slackOf, slackOfCut } from '../../src/clinical/tendons.ts';
import { adult, planOf, RULES } from '../clinical/rules-under-test.ts';

function tendon(kind: string, digit: Finger = 'index') {
  const found = RULES.tendons.find((each) => each.kind === kind && each.digit === digit);
  if (!found) throw new Error(`no ${kind} of the ${digit}`);
  return found;
}

/** Slack in mm with these degrees of flexion at the joints of the index finger and the wrist. */
function slack(kind: string, degrees: Partial<Record<'wrist' | 'mcp' | 'pip' | 'dip', number>>): number {
  const bent = Object.entries(degrees).map(([joint, at]): [Joint, number] => [
    joint === 'wrist' ? 'wrist' : (`index.${joint}` as Joint),
    at,
  ]);
  return slackOf(tendon(kind), new Map(bent));
}

const deep = { wound: 'deep', cause: 'sharp' } as const;

describe('the deep flexor of the index finger', () => {
  // Worked from Ketchum 1978: 10.1 x 1.571 + 9.8 x 1.745 + 6.5 x 1.396.
  test('glides 42.0 mm in a full fist: knuckle 90, middle joint 100, end joint 80', () => {
    expect(slack('fdp', { mcp: 90, pip: 100, dip: 80 })).toBeCloseTo(42.05, 1);
  });

  test.each([
    [45, 7.9],
    [70, 12.3],
    [90, 15.9],
  ])('with its knuckle bent %i degrees is %d mm slack', (mcp, mm) => {
    expect(slack('fdp', { mcp })).toBeCloseTo(mm, 1);
  });

  // Eaton, Electronic Textbook of Hand Surgery, thr074: wrist 30 and knuckles 45 bent after a flexor repair.
  test('has some 14 mm in the position of a repair, and none of the wrist’s share with the wrist back', () => {
    expect(slack('fdp', { wrist: 30, mcp: 45 })).toBeCloseTo(14.2, 1);
    expect(slack('fdp', { wrist: -30, mcp: 45 })).toBeCloseTo(1.6, 1);
  });
});

describe('each finger', () => {
  test.each([
    ['index', 10.1, 9.8, 6.5],
    ['middle', 11.6, 10.7, 7.0],
    ['ring', 10.4, 10.4, 6.8],
    ['little', 8.9, 8.5, 6.0],
  ] as const)('%s has its deep flexor’s arms from the table', (finger, mcp, pip, dip) => {
    const { arms } = tendon('fdp', finger);
    expect([arms.get(`${finger}.mcp`), arms.get(`${finger}.pip`), arms.get(`${finger}.dip`)]).toEqual([
      mcp,
      pip,
      dip,
    ]);
  });

  test.each([
    ['index', 12.1, 8.3],
    ['middle', 14.0, 8.7],
    ['ring', 13.0, 8.5],
    ['little', 9.8, 7.4],
  ] as const)(
    '%s has its superficial flexor’s arms from the table, and none at the end joint',
    (finger, mcp, pip) => {
      const { arms } = tendon('fds', finger);
      expect([arms.get(`${finger}.mcp`), arms.get(`${finger}.pip`), arms.get(`${finger}.dip`)]).toEqual([
        mcp,
        pip,
        undefined,
      ]);
    },
  );
});

describe('the usual safe position: wrist 20 to 30 back, knuckles bent 70 to 90', () => {
  const corners = [-20, -30].flatMap((wrist) => [70, 90].map((mcp) => ({ wrist, mcp })));

  test('leaves a cut flexor slack', () => {
    for (const corner of corners) expect(slack('fdp', corner)).toBeGreaterThan(5);
  });

  test('pulls a cut extensor tight by 3 to 9 mm, which is why it is refused for one', () => {
    for (const corner of corners) {
      expect(slack('edc', corner)).toBeLessThan(-3);
      expect(slack('edc', corner)).toBeGreaterThan(-9);
    }
  });

  test('is not what a cut on the back of the hand gets: the extensor is slack there, even at the worst edge', () => {
    const findings = adult({ region: 'hand', digits: ['index'], face: 'dorsal', ...deep });
    const [edc, ...others] = slackOfCut(findings, planOf(findings), RULES);
    expect(others).toEqual([]);
    expect(edc).toMatchObject({ tendon: 'edc', digit: 'index' });
    expect(edc!.aim).toBeCloseTo(9.0, 1);
    expect(edc!.worst).toBeGreaterThan(0);
  });
});

test('a cut in the palm leaves both flexors of all four fingers slack, even at the worst edge', () => {
  const findings = adult({ region: 'hand', digits: ['ring'], face: 'palmar', ...deep });
  const slacks = slackOfCut(findings, planOf(findings), RULES);
  expect(slacks.map(({ tendon, digit }) => `${tendon} ${digit}`)).toHaveLength(8);
  for (const { worst } of slacks) expect(worst).toBeGreaterThan(5);
});

test('a hand in which no tendon is assumed cut has nothing to be slack', () => {
  const findings = adult({ region: 'wrist', broken: 'yes' });
  expect(slackOfCut(findings, planOf(findings), RULES)).toEqual([]);
});
