// When a clinician looks, how long a splint usually stays, and what bend is left, against the published figures.
import { expect, test } from 'vitest';
import { adult, planOf } from '../clinical/rules-under-test.ts';

const broken = { broken: 'yes', wound: 'none', cause: 'fall' } as const;
const days = (plan: ReturnType<typeof planOf>) => plan.seenBy.hours / 24;

// BOAST 16 (British Orthopaedic Association 2017): clinic within 72 hours, mobilised from about 4 weeks. Leaflet C-417
// (Plymouth Hospitals NHS 2022): up to 6 weeks in the cast.
test('a wrist break is seen within 72 hours and stays 4 to 6 weeks', () => {
  const plan = planOf(adult({ region: 'wrist', ...broken }));
  expect(plan.seenBy).toMatchObject({ hours: 72, unlessBetter: false });
  expect(plan.usualStay?.weeks).toEqual([4, 6]);
});

// FPRmed, Boxer's fracture: first review at 7-10 days for ring and little, 4-5 days for index and middle; 3-4 weeks.
// Orthovellum, metacarpal fractures: bend left at the neck 10-15 (index, middle), 30-40 (ring), 50-60 (little).
test.each([
  ['little', 10, [50, 60]],
  ['ring', 10, [30, 40]],
  ['middle', 5, [10, 15]],
  ['index', 5, [10, 15]],
] as const)('a break at the neck behind the %s finger is seen within %d days', (digit, within, bend) => {
  const plan = planOf(adult({ region: 'hand', digits: [digit], level: 'metacarpal-neck', ...broken }));
  expect(days(plan)).toBe(within);
  expect(plan.usualStay?.weeks).toEqual([3, 4]);
  expect(plan.tolerated).toEqual([expect.objectContaining({ digit, degrees: bend })]);
});

// Brigham and Women's Hospital, Primary extensor tendon repair protocol (2020): 6-8 weeks day and night. Medscape (2018):
// first review at one week.
test('a hanging fingertip is seen within a week and stays 6 to 8 weeks', () => {
  const plan = planOf(
    adult({ region: 'finger', digits: ['ring'], level: 'dip-joint', signs: ['fingertip-droops'] }),
  );
  expect(days(plan)).toBe(7);
  expect(plan.usualStay?.weeks).toEqual([6, 8]);
});

// Leggit and Meko, American Family Physician 2006;73(5): middle joint straight without a break for 6 weeks.
test('a hanging middle joint stays 6 weeks', () => {
  const plan = planOf(
    adult({ region: 'finger', digits: ['ring'], level: 'pip-joint', signs: ['middle-joint-droops'] }),
  );
  expect(plan.usualStay?.weeks).toEqual([6, 6]);
});

// Sunshine Coast Hospital and Health Service: seen at one week. American Family Physician 2022;105(6): 4-6 weeks.
test('a fingertip bone is seen within a week and stays 4 to 6 weeks', () => {
  const plan = planOf(adult({ region: 'finger', digits: ['ring'], level: 'distal-phalanx', ...broken }));
  expect(days(plan)).toBe(7);
  expect(plan.usualStay?.weeks).toEqual([4, 6]);
});

// NUEM, Nail trauma (2018): a hole helps in the first 24 hours. Journal of Pediatric Orthopaedics, June 2017: a child's
// nail over a broken growth plate was infected in 0 of 11 treated within 24 hours, in 5 of 11 later.
test('blood under a nail is seen within a day; a torn nail today, and for a child a clinician is called', () => {
  const tip = { region: 'finger', digits: ['ring'], level: 'distal-phalanx', ...broken } as const;
  expect(planOf(adult({ ...tip, digits: ['ring'], signs: ['nail-blood'] })).seenBy.hours).toBe(24);
  const torn = adult({ ...tip, digits: ['ring'], signs: ['nail-torn'] });
  expect(planOf(torn)).toMatchObject({ urgency: 'today', call: false });
  expect(planOf({ ...torn, age: 'child' })).toMatchObject({ urgency: 'today', call: true });
});

test('a torn nail over a cut fingertip is today’s, not an open break, where the bone is not sore', () => {
  const cut = {
    region: 'finger',
    digits: ['ring' as const],
    level: 'distal-phalanx',
    wound: 'deep',
  } as const;
  const plan = planOf(
    adult({ ...cut, digits: ['ring'], face: 'palmar', cause: 'sharp', signs: ['nail-torn'] }),
  );
  expect(plan).toMatchObject({ hold: 'free', urgency: 'today' });
  expect(plan.cautions).toContain('nail-stays-on');
});

// RCEM Learning, ulnar collateral ligament of the thumb: force makes a partial tear complete.
test('a finger that leans is seen today and not tried out', () => {
  const plan = planOf(
    adult({ region: 'finger', digits: ['ring'], level: 'pip-joint', ...broken, signs: ['joint-leans'] }),
  );
  expect(plan).toMatchObject({ urgency: 'today' });
  expect(plan.cautions).toContain('do-not-test-the-joint');
});

// BOAST 10 (British Orthopaedic Association 2014): at heart level, not above. del Pinal et al. 2002: in a crushed hand
// tense swelling was the clue, and the classic pain was missing in 6 of 11.
test('a crushed hand is seen today and is not raised above the heart', () => {
  const plan = planOf(
    adult({ region: 'hand', digits: ['ring'], broken: 'no', wound: 'none', cause: 'crush' }),
  );
  expect(plan).toMatchObject({ urgency: 'today' });
  expect(plan.cautions).toContain('heart-level-not-higher');
});

// Northern Care Alliance NHS, soft tissue injury (2024): moved gently from day 2-3. Common practice: two days without
// getting better is a reason to be seen.
test('a sprain and a bruise hold nothing, move, and are seen unless better in two days', () => {
  for (const plan of [planOf(adult({ region: 'wrist' })), planOf(adult({ region: 'forearm' }))]) {
    expect(plan).toMatchObject({ hold: 'free', position: [], calendar: null, watch: [] });
    expect(plan.seenBy).toMatchObject({ hours: 48, unlessBetter: true });
  }
});
