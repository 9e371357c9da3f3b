// One limb hurt in several places: common ranges, conflicts, and as few splints as will do.
import { expect, test } from 'vitest';
import { adult, planOf, spoken } from './rules-under-test.ts';

const deep = { wound: 'deep', cause: 'sharp' } as const;

test('two places share the range that suits both, and aim between their aims', () => {
  const plan = planOf(
    adult(
      { region: 'wrist', broken: 'yes' },
      { region: 'hand', digits: ['little'], level: 'metacarpal-shaft', broken: 'yes' },
    ),
  );
  expect(spoken(plan)[0]).toBe('wrist extension 10..20 aim 15');
  expect(plan.position[0]?.source).toBe('afp-2009; boast-16; common-practice; fpnotebook-hand-position');
});

test('the aim keeps 5 degrees off the edges of the common range', () => {
  const plan = planOf(
    adult({
      region: 'hand',
      digits: ['ring'],
      signs: ['lies-too-straight', 'knuckle-sunken'],
      level: 'mcp-joint',
    }),
  );
  expect(spoken(plan)).toContain('ring.mcp flexion 60..70 aim 65');
});

test('a joint that one place holds is no longer free', () => {
  const plan = planOf(
    adult(
      { region: 'wrist', broken: 'yes' },
      { region: 'finger', digits: ['ring'], level: 'dip-joint', signs: ['fingertip-droops'] },
    ),
  );
  expect(plan.free).not.toContain('ring.dip');
  expect(plan.free).toContain('ring.pip');
  expect(plan.splints.map(({ face }) => face)).toEqual(['palmar', 'finger']);
  expect(plan.splint).toEqual(plan.splints[0]);
});

test('a cut palm and a cut back of the hand want the wrist in two places: a conflict, and a clinician now', () => {
  const plan = planOf(
    adult(
      { region: 'finger', digits: ['index'], level: 'middle-phalanx', face: 'palmar', ...deep },
      { region: 'hand', digits: ['ring'], face: 'dorsal', ...deep },
    ),
  );
  expect(plan).toMatchObject({
    hold: 'as-it-lies',
    conflict: true,
    position: [],
    free: [],
    splint: null,
    splints: [],
    urgency: 'now',
    call: true,
    calendar: 'limb',
  });
});

test('a wound that leaves no face for a splint is a conflict', () => {
  const plan = planOf(
    adult(
      { region: 'hand', cause: 'burn', face: 'dorsal' },
      { region: 'finger', digits: ['ring'], level: 'distal-phalanx', face: 'palmar', ...deep },
    ),
  );
  expect(plan).toMatchObject({ conflict: true, urgency: 'now', call: true });
});

test('a scratch is only avoided: where no other face will do, the splint lies over it', () => {
  const knuckle = {
    region: 'finger',
    digits: ['ring'],
    level: 'mcp-joint',
    signs: ['cannot-straighten'],
  } as const;
  const plan = planOf(
    adult({
      ...knuckle,
      digits: ['ring'],
      signs: ['cannot-straighten'],
      wound: 'shallow',
      face: 'palmar',
      cause: 'sharp',
    }),
  );
  expect(plan).toMatchObject({ conflict: false, splint: { face: 'palmar' } });
});

test('one place that must stay as it lies keeps the whole limb as it lies', () => {
  const plan = planOf(
    adult(
      { region: 'finger', digits: ['ring'], level: 'pip-joint', broken: 'yes' },
      { region: 'wrist', broken: 'yes', signs: ['deformed'] },
    ),
  );
  expect(plan).toMatchObject({
    hold: 'as-it-lies',
    position: [],
    conflict: false,
    splint: null,
    urgency: 'today',
  });
});

test('a conflict beneath a place that stays as it lies is still a matter for now', () => {
  const torn = { region: 'finger', digits: ['ring'], level: 'mcp-joint', broken: 'yes' } as const;
  const plan = planOf(
    adult(
      { ...torn, digits: ['ring'], signs: ['cannot-straighten'] },
      { region: 'wrist', signs: ['deformed'] },
    ),
  );
  expect(plan).toMatchObject({ hold: 'as-it-lies', conflict: false, urgency: 'now', call: true });
});

test('fingers of both edges of the hand lie on one slab, not in two gutters', () => {
  const plan = planOf(
    adult({ region: 'hand', digits: ['middle', 'ring'], level: 'metacarpal-neck', broken: 'yes' }),
  );
  expect(plan.splints.map(({ face, digits }) => [face, digits])).toEqual([
    ['dorsal', ['index', 'middle', 'ring', 'little']],
  ]);
});

test('where the wrist is held anyway, one splint from the forearm holds the knuckle too', () => {
  const plan = planOf(
    adult(
      { region: 'wrist', broken: 'yes' },
      { region: 'hand', digits: ['little'], level: 'metacarpal-neck', broken: 'yes' },
    ),
  );
  expect(plan.splints).toEqual([
    { face: 'ulnar', from: 'forearm-two-thirds', to: 'fingertips', digits: ['ring', 'little'] },
  ]);
});

test('a splint does not lie on the deep wound of another place that it would cover', () => {
  const plan = planOf(
    adult({ region: 'wrist', broken: 'yes' }, { region: 'forearm', cause: 'burn', face: 'palmar' }),
  );
  expect(plan.splint?.face).toBe('dorsal');
});

test('a thumb assumed cut is not set moving by the row of another finger', () => {
  const plan = planOf(
    adult(
      { region: 'thumb', face: 'palmar', ...deep },
      { region: 'finger', digits: ['ring'], level: 'pip-joint', broken: 'yes' },
    ),
  );
  expect(plan.free.filter((joint) => joint.startsWith('thumb'))).toEqual([]);
  expect(plan.free).toContain('ring.mcp');
});

test('a finger whose level nobody knows is as urgent as the level that would tear the limb apart', () => {
  const cut = { region: 'hand', digits: ['index'], face: 'palmar', ...deep } as const;
  const finger = { region: 'finger', digits: ['little'], broken: 'yes' } as const;
  const at = (level?: 'metacarpal-shaft') =>
    planOf(adult({ ...cut, digits: ['index'] }, { ...finger, digits: ['little'], level }));
  expect(at('metacarpal-shaft').urgency).toBe('now');
  expect(at()).toMatchObject({ urgency: 'now', call: true });
});
