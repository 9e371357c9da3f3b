// The rows of the protocol, one by one: what each finding asks for.
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../src/model.ts';
import { adult, planOf, spoken } from './rules-under-test.ts';

const FREE_FINGERS = ['index', 'middle', 'ring', 'little'].flatMap((f) => [
  `${f}.mcp`,
  `${f}.pip`,
  `${f}.dip`,
]);
const grade = ({ urgency, call }: Plan) => `${urgency}${call ? ', call' : ''}`;

describe('closed breaks', () => {
  test('1: a wrist is held a little back, with every finger and the thumb free', () => {
    const plan = planOf(adult({ region: 'wrist', broken: 'yes' }));
    expect(spoken(plan)).toEqual(['wrist extension 0..20 aim 15']);
    expect(plan.free).toEqual(
      expect.arrayContaining([...FREE_FINGERS, 'thumb.cmc', 'thumb.mcp', 'thumb.ip']),
    );
    expect(plan.splint).toEqual({
      face: 'palmar',
      from: 'forearm-two-thirds',
      to: 'palm-10mm-short-of-crease',
      digits: [],
    });
    expect([plan.hold, grade(plan), plan.calendar]).toEqual(['as-planned', 'soon', 'wrist']);
  });

  test('1: a child, or somebody whose age nobody told, is seen today', () => {
    const { sites } = adult({ region: 'wrist', broken: 'yes' });
    expect(planOf({ age: 'child', sites }).urgency).toBe('today');
    expect(planOf({ sites }).urgency).toBe('today');
  });

  test('2: a forearm is held with elbow and wrist, today', () => {
    const plan = planOf(adult({ region: 'forearm', broken: 'unsure' }));
    expect(spoken(plan)).toEqual(['elbow flexion 80..100 aim 90', 'wrist extension 0..20 aim 10']);
    expect(plan.splint?.from).toBe('past-elbow');
    expect(plan.cautions).toContain('sling');
    expect([grade(plan), plan.calendar]).toEqual(['today, call', 'limb']);
  });

  test('14: a metacarpal neck takes its neighbour along and leaves the wrist free', () => {
    const plan = planOf(
      adult({ region: 'hand', digits: ['little'], level: 'metacarpal-neck', broken: 'yes' }),
    );
    expect(spoken(plan)).toEqual([
      'ring.mcp flexion 60..80 aim 70',
      'ring.pip flexion -5..10 aim 5',
      'ring.dip flexion -5..10 aim 5',
      'little.mcp flexion 60..80 aim 70',
      'little.pip flexion -5..10 aim 5',
      'little.dip flexion -5..10 aim 5',
    ]);
    expect(plan.free).toEqual(expect.arrayContaining(['wrist', 'index.mcp', 'middle.dip', 'thumb.ip']));
    expect(plan.splint).toMatchObject({
      face: 'ulnar',
      from: 'hand-side-of-wrist-crease',
      digits: ['ring', 'little'],
    });
    expect([grade(plan), plan.calendar]).toEqual(['soon', 'finger']);
  });

  test.each([
    ['index', ['index', 'middle'], 'radial'],
    ['middle', ['index', 'middle'], 'radial'],
    ['ring', ['ring', 'little'], 'ulnar'],
    ['little', ['ring', 'little'], 'ulnar'],
  ] as const)('14: the %s finger is held with its neighbour by an edge gutter', (finger, digits, face) => {
    const plan = planOf(adult({ region: 'finger', digits: [finger], level: 'mcp-joint', broken: 'yes' }));
    expect(plan.splint).toMatchObject({ face, digits });
  });

  test('14: a sunken knuckle is a break even where a break was ruled out', () => {
    const plan = planOf(adult({ region: 'hand', digits: ['ring'], signs: ['knuckle-sunken'] }));
    expect(plan.injuries).toEqual(['metacarpal-neck']);
    expect(plan.free).toContain('wrist');
  });

  test.each(['household', 'plaster'] as const)(
    '14: with %s the forearm comes in and the wrist is held',
    (material) => {
      const findings = adult({ region: 'hand', digits: ['little'], level: 'metacarpal-neck', broken: 'yes' });
      const plan = planOf({ ...findings, material });
      expect(spoken(plan)).toContain('wrist extension 0..30 aim 20');
      expect(plan.free).not.toContain('wrist');
      expect(plan.splints).toEqual([
        { face: 'ulnar', from: 'forearm-two-thirds', to: 'fingertips', digits: ['ring', 'little'] },
      ]);
      expect(plan.calendar).toBe('wrist');
    },
  );

  test('15: a metacarpal shaft, and a hand whose level nobody knows, is held with the wrist', () => {
    for (const level of ['metacarpal-shaft', 'metacarpal-base', undefined] as const) {
      const plan = planOf(adult({ region: 'hand', digits: ['index'], level, broken: 'yes' }));
      expect(spoken(plan)).toContain('wrist extension 10..30 aim 20');
      expect(spoken(plan)).toContain('middle.mcp flexion 60..80 aim 70');
      expect(plan.splint).toMatchObject({ face: 'radial', from: 'forearm-two-thirds', to: 'fingertips' });
    }
  });

  test('16: a proximal phalanx is bent at the knuckle, straight beyond it, on its back', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['middle'], level: 'proximal-phalanx', broken: 'yes' }),
    );
    expect(spoken(plan)).toContain('middle.mcp flexion 60..90 aim 70');
    expect(spoken(plan)).toContain('index.pip flexion -5..10 aim 5');
    expect(plan.free).toContain('wrist');
    expect(plan.splint?.face).toBe('dorsal');
  });

  test('17: a middle joint is straight with knuckle and end joint free; a middle phalanx takes the end joint in', () => {
    const joint = planOf(adult({ region: 'finger', digits: ['ring'], level: 'pip-joint', broken: 'yes' }));
    expect(spoken(joint)).toEqual(['ring.pip flexion -5..10 aim 5']);
    expect(joint.free).toEqual(expect.arrayContaining(['ring.mcp', 'ring.dip']));
    const phalanx = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'middle-phalanx', broken: 'yes' }),
    );
    expect(spoken(phalanx)).toEqual(['ring.pip flexion -5..10 aim 5', 'ring.dip flexion -5..10 aim 5']);
    expect(phalanx.splints).toHaveLength(1);
  });

  test('18: a middle joint that was out is kept from straightening, and seen today', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'pip-joint', signs: ['was-out-of-joint'] }),
    );
    expect(spoken(plan)).toEqual(['ring.pip flexion 20..40 aim 30']);
    expect(plan.injuries).not.toContain('middle-joint');
    expect(grade(plan)).toBe('today');
  });

  test('18: another joint that was out is held as the break there, and seen today', () => {
    const plan = planOf(adult({ region: 'wrist', signs: ['was-out-of-joint'] }));
    expect(plan.injuries).toEqual(['was-out', 'wrist-break']);
    expect(grade(plan)).toBe('today');
  });

  test('21: a distal phalanx has its end joint dead straight in a tip splint', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['index'], level: 'distal-phalanx', broken: 'yes' }),
    );
    expect(spoken(plan)).toEqual(['index.dip flexion -5..5 aim 0']);
    expect(plan.splint?.face).toBe('tip');
    expect(plan.free).toEqual(expect.arrayContaining(['index.pip', 'index.mcp']));
  });

  test('16, 17, 21: a finger whose level nobody knows is held for all of them, by one splint', () => {
    const plan = planOf(adult({ region: 'finger', digits: ['little'], broken: 'yes' }));
    expect(plan.injuries).toEqual(['proximal-phalanx', 'middle-joint', 'distal-phalanx']);
    expect(spoken(plan)).toContain('little.dip flexion -5..5 aim 0');
    expect(plan.splints).toHaveLength(1);
    expect(grade(plan)).toBe('soon');
  });

  test('22: a thumb is held as round a glass, its tip free; with the tip hurt its end joint straight', () => {
    const plan = planOf(adult({ region: 'thumb', broken: 'yes', level: 'metacarpal-base' }));
    expect(spoken(plan)).toEqual(['wrist extension 10..30 aim 20', 'thumb.cmc abduction 30..50 aim 40']);
    expect(plan.free).toContain('thumb.ip');
    expect(plan.splint?.face).toBe('radial');
    const tip = planOf(adult({ region: 'thumb', broken: 'yes', level: 'distal-phalanx' }));
    expect(spoken(tip)).toContain('thumb.ip flexion -5..5 aim 0');
    expect(tip.free).not.toContain('thumb.ip');
  });

  test('22: soreness in the dip at the thumb base is a scaphoid and no wrist break; today for a child', () => {
    const findings = adult({ region: 'wrist', broken: 'unsure', signs: ['snuffbox-tender'] });
    const plan = planOf(findings);
    expect(plan.injuries).toEqual(['thumb-or-scaphoid']);
    expect(plan.urgency).toBe('soon');
    expect(planOf({ ...findings, age: 'child' }).urgency).toBe('today');
  });

  test('23: fingers that cross are seen today and held as the break', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'proximal-phalanx', signs: ['fingers-cross'] }),
    );
    expect(plan.injuries).toEqual(['crosses-or-tilts', 'proximal-phalanx']);
    expect(grade(plan)).toBe('today');
  });
});

describe('open breaks and limbs that stay as they lie', () => {
  test.each([
    ['3: bent out of line', { region: 'wrist', broken: 'yes', signs: ['deformed'] }, 'today, call'],
    ['3: out of joint', { region: 'finger', broken: 'yes', signs: ['out-of-joint'] }, 'today, call'],
    [
      '3: bent and pale',
      { region: 'wrist', broken: 'yes', signs: ['deformed', 'pale-or-blue'] },
      'now, call',
    ],
    [
      '4: a break under a deep wound',
      { region: 'hand', broken: 'unsure', wound: 'deep', face: 'dorsal' },
      'now, call',
    ],
    ['4: bone in sight', { region: 'finger', signs: ['bone-visible'] }, 'now, call'],
    [
      '4: a sunken knuckle under a deep wound',
      { region: 'hand', signs: ['knuckle-sunken'], wound: 'deep', face: 'dorsal' },
      'now, call',
    ],
    [
      '24: a tooth cut at a knuckle',
      { region: 'hand', level: 'mcp-joint', wound: 'shallow', face: 'dorsal', cause: 'punch' },
      'today, call',
    ],
    [
      '24: a tooth cut with pus',
      {
        region: 'hand',
        level: 'mcp-joint',
        wound: 'deep',
        face: 'dorsal',
        cause: 'punch',
        signs: ['infected'],
      },
      'now, call',
    ],
    ['27: a burn right round', { region: 'forearm', cause: 'burn', signs: ['burn-all-round'] }, 'now, call'],
    ['27: an electric burn', { region: 'hand', cause: 'electric' }, 'now, call'],
    ['28: tense swelling', { region: 'hand', cause: 'crush', signs: ['tense-swelling'] }, 'now, call'],
    ['28: pain on stretching', { region: 'forearm', signs: ['severe-pain-on-stretch'] }, 'now, call'],
    ['29: injected under pressure', { region: 'finger', cause: 'injection' }, 'now, call'],
    ['29: a snake bite', { region: 'hand', cause: 'snake' }, 'now, call'],
    ['29: a part cut off', { region: 'finger', signs: ['part-amputated'] }, 'now, call'],
    ['29: white, blue or cold', { region: 'finger', signs: ['pale-or-blue'] }, 'now, call'],
    ['29: bleeding that will not stop', { region: 'wrist', signs: ['heavy-bleeding'] }, 'now, call'],
    ['29: a numb hand', { region: 'hand', signs: ['numb'] }, 'now, call'],
    ['nobody could look', { region: 'hand', notKnown: ['signs'] }, 'now, call'],
    ['nobody knows the cause', { region: 'hand', notKnown: ['cause'] }, 'now, call'],
  ] as [string, Parameters<typeof adult>[0], string][])('%s', (_, site, expected) => {
    const plan = planOf(adult(site));
    expect(plan).toMatchObject({ hold: 'as-it-lies', position: [], free: [], splint: null, conflict: false });
    expect([grade(plan), plan.calendar]).toEqual([expected, 'limb']);
  });

  test('5: a break under a scratch is held as the closed break, beside the scratch, and called about', () => {
    const plan = planOf(adult({ region: 'wrist', broken: 'yes', wound: 'shallow', face: 'palmar' }));
    expect(spoken(plan)).toEqual(['wrist extension 0..20 aim 15']);
    expect(plan.splint?.face).toBe('dorsal');
    expect(grade(plan)).toBe('today, call');
  });

  test('24: a knuckle wound for a reason that nobody told is a bite until disproved', () => {
    const site = { region: 'finger', level: 'mcp-joint', wound: 'shallow', face: 'dorsal' } as const;
    const plan = planOf(adult({ ...site, cause: undefined }));
    expect(plan.injuries).toContain('fist-bite');
    expect(planOf(adult({ ...site, cause: 'sharp' })).injuries).not.toContain('fist-bite');
  });

  test('24: an infection elsewhere is seen today', () => {
    expect(grade(planOf(adult({ region: 'forearm', signs: ['infected'] })))).toBe('today, call');
  });
});

describe('cut tendons', () => {
  const deep = { wound: 'deep', cause: 'sharp' } as const;

  test('6: a palm-side cut bends wrist and knuckles of all four fingers behind a dorsal splint', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['index'], level: 'proximal-phalanx', face: 'palmar', ...deep }),
    );
    expect(spoken(plan).slice(0, 4)).toEqual([
      'wrist flexion 15..35 aim 25',
      'index.mcp flexion 45..70 aim 55',
      'index.pip flexion 0..20 aim 10',
      'index.dip flexion 0..20 aim 10',
    ]);
    expect(plan.position).toHaveLength(13);
    expect(plan.splint?.face).toBe('dorsal');
    expect(plan.cutDigits).toEqual(['index', 'middle', 'ring', 'little']);
    expect(plan.cautions).toContain('no-bending-no-testing');
    expect([grade(plan), plan.calendar]).toEqual(['today, call', 'limb']);
  });

  test.each(['forearm', 'wrist', 'hand'] as const)(
    '6: so does a cut of the palm side of the %s',
    (region) => {
      const plan = planOf(adult({ region, face: 'edge', ...deep }));
      expect(plan.injuries).toEqual(['cut-flexor']);
      expect(spoken(plan)[0]).toBe('wrist flexion 15..35 aim 25');
    },
  );

  test('7: beyond the end-joint crease there is no tendon to hold', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'distal-phalanx', face: 'palmar', ...deep }),
    );
    expect(plan).toMatchObject({
      hold: 'free',
      position: [],
      splint: null,
      cutDigits: [],
      calendar: 'finger',
    });
    expect(grade(plan)).toBe('today');
  });

  test('8a: the back of the end joint is held a little backwards', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'dip-joint', face: 'dorsal', ...deep }),
    );
    expect(spoken(plan)).toEqual(['ring.dip extension 0..10 aim 5']);
    expect(plan.free).toEqual(expect.arrayContaining(['ring.pip', 'ring.mcp', 'wrist']));
    expect(plan.cutDigits).toEqual(['ring']);
  });

  test('8b: the back of the middle joint is dead straight', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'pip-joint', face: 'dorsal', ...deep }),
    );
    expect(spoken(plan)).toEqual(['ring.pip flexion -5..5 aim 0']);
    expect(grade(plan)).toBe('today, call');
  });

  test('8c: the back of the hand lies with the wrist well back and the knuckles nearly straight', () => {
    const plan = planOf(adult({ region: 'wrist', face: 'dorsal', ...deep }));
    expect(spoken(plan)).toEqual([
      'wrist extension 30..50 aim 40',
      ...['index', 'middle', 'ring', 'little'].map((finger) => `${finger}.mcp flexion 0..15 aim 5`),
    ]);
    expect(plan.free).toEqual(expect.arrayContaining(['index.pip', 'little.dip']));
    expect(plan.splint?.face).toBe('palmar');
    expect(plan.cutDigits).toEqual(['index', 'middle', 'ring', 'little']);
  });

  test.each([
    ['hand', undefined],
    ['finger', 'mcp-joint'],
  ] as const)('8c: behind the knuckle (%s, %s) the middle and end joint stay free', (region, level) => {
    const plan = planOf(adult({ region, digits: ['index'], level, face: 'dorsal', ...deep }));
    expect(plan.position.map(({ joint }) => joint)).toEqual(['wrist', 'index.mcp']);
    expect(plan.free).toEqual(expect.arrayContaining(['index.pip', 'index.dip', 'thumb.ip']));
    expect(plan.cutDigits).toEqual(['index']);
  });

  test('8c: over a proximal phalanx the middle joint is straight too', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['index'], level: 'proximal-phalanx', face: 'dorsal', ...deep }),
    );
    expect(spoken(plan)).toContain('index.pip flexion -5..5 aim 0');
    expect(plan.free.filter((joint) => joint.startsWith('index'))).toEqual([]);
    expect(plan.cutDigits).toEqual(['index']);
  });

  test('8: a back-side cut at a level that nobody knows is held for all three', () => {
    const plan = planOf(adult({ region: 'finger', digits: ['index'], face: 'dorsal', ...deep }));
    expect(plan.injuries).toEqual([
      'cut-extensor-end-joint',
      'cut-extensor-middle-joint',
      'cut-extensor-hand',
    ]);
    expect(plan.position.map(({ joint }) => joint)).toEqual(['wrist', 'index.mcp', 'index.pip', 'index.dip']);
    expect(plan.splints).toHaveLength(1);
  });

  test.each(['both', undefined] as const)('9: a deep wound of %s faces is a conflict', (face) => {
    const plan = planOf(adult({ region: 'hand', ...deep, face }));
    expect(plan).toMatchObject({ hold: 'as-it-lies', conflict: true, position: [], free: [], splint: null });
    expect(grade(plan)).toBe('now, call');
  });

  test('10: a thumb cut on its palm side lies across the palm', () => {
    const plan = planOf(adult({ region: 'thumb', face: 'palmar', ...deep }));
    expect(spoken(plan)).toEqual([
      'wrist flexion 15..35 aim 25',
      'thumb.mcp flexion 10..30 aim 20',
      'thumb.ip flexion 0..30 aim 15',
    ]);
    expect(plan.cutDigits).toEqual(['thumb']);
    expect(plan.free).toEqual(expect.arrayContaining(FREE_FINGERS));
  });

  test('11: a thumb cut on its back points out and back', () => {
    const plan = planOf(adult({ region: 'thumb', face: 'dorsal', ...deep }));
    expect(spoken(plan)).toContain('wrist extension 30..50 aim 40');
    expect(spoken(plan)).toContain('thumb.ip flexion -5..5 aim 0');
    expect(plan.splint?.face).toBe('palmar');
  });

  test('10: a hand wound that names only the thumb is a thumb; with fingers besides it is both', () => {
    const thumb = planOf(adult({ region: 'hand', digits: ['thumb'], face: 'palmar', ...deep }));
    expect(thumb.injuries).toEqual(['cut-thumb-flexor']);
    const both = planOf(adult({ region: 'hand', digits: ['thumb', 'index'], face: 'palmar', ...deep }));
    expect(both.injuries).toEqual(['cut-flexor', 'cut-thumb-flexor']);
    expect(both.cutDigits).toEqual(['thumb', 'index', 'middle', 'ring', 'little']);
  });

  test('12: a closed finger that cannot bend is held as a cut flexor, that finger alone', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'dip-joint', signs: ['cannot-bend'] }),
    );
    expect(plan.position.map(({ joint }) => joint)).toEqual(['wrist', 'ring.mcp', 'ring.pip', 'ring.dip']);
    expect(plan.cutDigits).toEqual(['ring']);
    expect(grade(plan)).toBe('today, call');
  });

  test('13: a closed finger that cannot straighten at the knuckle is held as a cut extensor', () => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: 'mcp-joint', signs: ['cannot-straighten'] }),
    );
    expect(spoken(plan)).toEqual(['wrist extension 30..50 aim 40', 'ring.mcp flexion 0..15 aim 5']);
  });

  test.each([
    [{ level: 'pip-joint', signs: ['middle-joint-droops'] }],
    [{ level: 'middle-phalanx', signs: ['cannot-straighten'] }],
  ] as const)('19: a closed middle joint that hangs is dead straight, today (%o)', (told) => {
    const plan = planOf(
      adult({ region: 'finger', digits: ['ring'], level: told.level, signs: [...told.signs] }),
    );
    expect(spoken(plan)).toEqual(['ring.pip flexion -5..5 aim 0']);
    expect(plan.free).toContain('ring.dip');
    expect(grade(plan)).toBe('today');
  });

  test('20: a fingertip that hangs is held a little backwards, the middle joint free; a child today', () => {
    const findings = adult({
      region: 'finger',
      digits: ['ring'],
      level: 'dip-joint',
      signs: ['fingertip-droops'],
    });
    const plan = planOf(findings);
    expect(spoken(plan)).toEqual(['ring.dip extension 0..10 aim 5']);
    expect(plan.free).toContain('ring.pip');
    expect(plan.urgency).toBe('soon');
    expect(planOf({ ...findings, age: 'child' }).urgency).toBe('today');
  });

  test('20 and 21: a hanging tip whose bone may be broken is held where both agree', () => {
    const plan = planOf(
      adult({
        region: 'finger',
        digits: ['ring'],
        level: 'dip-joint',
        broken: 'yes',
        signs: ['fingertip-droops'],
      }),
    );
    expect(spoken(plan)).toEqual(['ring.dip extension 0..5 aim 2.5']);
  });
});

describe('burns, bites and the rest', () => {
  test('25: a burnt back of the hand lies in the safe position', () => {
    const plan = planOf(adult({ region: 'hand', cause: 'burn', face: 'dorsal' }));
    expect(spoken(plan).slice(0, 4)).toEqual([
      'wrist extension 10..30 aim 20',
      'index.mcp flexion 70..90 aim 80',
      'index.pip flexion -5..10 aim 5',
      'index.dip flexion -5..10 aim 5',
    ]);
    expect([plan.splint?.face, grade(plan), plan.calendar]).toEqual(['palmar', 'today, call', 'limb']);
  });

  test('26: a burnt palm lies flat', () => {
    const plan = planOf(adult({ region: 'hand', cause: 'burn', face: 'palmar' }));
    expect(spoken(plan)).toContain('index.mcp flexion -5..10 aim 5');
    expect(plan.splint?.face).toBe('dorsal');
    expect(plan.cautions).toContain('burn-dressing');
  });

  test('25, 26: a burn of both faces, or of a face that nobody knows, is a conflict', () => {
    expect(planOf(adult({ region: 'hand', cause: 'burn', face: 'both' })).conflict).toBe(true);
    expect(planOf(adult({ region: 'hand', cause: 'burn' })).conflict).toBe(true);
  });

  test('25: a burnt forearm gets a dressing and no splint', () => {
    const plan = planOf(adult({ region: 'forearm', cause: 'burn', face: 'dorsal' }));
    expect(plan).toMatchObject({ hold: 'free', splint: null, urgency: 'today', call: true });
  });

  test.each([
    ['30: an animal bite', { cause: 'animal-bite', wound: 'shallow' }, 'today, call'],
    ['30: broken skin for a reason that was not told', { cause: undefined, wound: 'shallow' }, 'today, call'],
    ['whole skin for a reason that was not told', { cause: undefined, wound: 'none' }, 'soon'],
    ['a dull fingertip', { signs: ['numb-fingertip'] }, 'today, call'],
    ['a ring that is stuck', { signs: ['ring-stuck'] }, 'today, call'],
  ] as [string, object, string][])('%s', (_, told, expected) => {
    expect(grade(planOf(adult({ region: 'forearm', ...told })))).toBe(expected);
  });

  test('31: nothing established leaves everything free, and nothing to watch', () => {
    const plan = planOf(adult({ region: 'wrist' }));
    expect(plan).toMatchObject({
      hold: 'free',
      splint: null,
      urgency: 'soon',
      call: false,
      calendar: null,
      watch: [],
    });
    expect(plan.free).toEqual(['elbow', 'wrist', 'thumb.cmc', 'thumb.mcp', 'thumb.ip', ...FREE_FINGERS]);
  });

  test('findings of one bare region are weighed as the worst that they can be', () => {
    expect(planOf({ sites: [{ region: 'hand' }] })).toMatchObject({
      urgency: 'now',
      call: true,
      conflict: true,
    });
  });
});
