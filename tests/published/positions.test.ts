// The positions held against what is published: each number with its source beside it, and the common practice that
// has none said to be so.
import { describe, expect, test } from 'vitest';
import type { Findings, Joint } from '../../src/model.ts';
import { adult, normalMotion, planOf } from '../clinical/rules-under-test.ts';

/** Degrees of a joint with flexion upwards, and the aim likewise. */
function held(findings: Findings, joint: Joint): { lo: number; hi: number; aim: number } {
  const found = planOf(findings).position.find((each) => each.joint === joint);
  if (!found) throw new Error(`${joint} is not held`);
  const [from, to] = found.degrees;
  if (found.direction !== 'extension') return { lo: from, hi: to, aim: found.aim };
  return { lo: 0 - to, hi: 0 - from, aim: 0 - found.aim };
}
const overlaps = ({ lo, hi }: { lo: number; hi: number }, [from, to]: [number, number]) =>
  lo <= to && from <= hi;
const inside = ({ aim }: { aim: number }, [from, to]: [number, number]) => aim >= from && aim <= to;

const wrist = adult({ region: 'wrist', broken: 'yes' });
const neck = adult({ region: 'hand', digits: ['little'], level: 'metacarpal-neck', broken: 'yes' });
const shaft = adult({ region: 'hand', digits: ['little'], level: 'metacarpal-shaft', broken: 'yes' });
const deep = { wound: 'deep', cause: 'sharp' } as const;

describe('a broken wrist', () => {
  // BOAST 16, British Orthopaedic Association, 2017: neutral flexion, no forced palmar flexion.
  test('is never bent towards the palm', () => {
    expect(held(wrist, 'wrist').hi).toBeLessThanOrEqual(0);
    expect(held(wrist, 'wrist')).toSatisfy((w: { lo: number; hi: number }) => overlaps(w, [0, 0]));
  });

  // Common practice, no source: about 15 degrees up.
  test('aims about 15 degrees back', () => {
    expect(held(wrist, 'wrist').aim).toBe(-15);
  });

  // BOAST 16, 2017: fingers, thumb and elbow move.
  test('leaves fingers, thumb and elbow moving', () => {
    expect(planOf(wrist).free).toHaveLength(1 + 3 + 12);
  });
});

// Clinical practice guideline: Limb trauma, St John Western Australia: the joint above and the joint below.
test('a broken forearm is held with the joint above and the joint below', () => {
  const forearm = planOf(adult({ region: 'forearm', broken: 'yes' }));
  expect(forearm.position.map(({ joint }) => joint)).toEqual(['elbow', 'wrist']);
  expect(forearm.splint?.from).toBe('past-elbow');
});

describe('a broken metacarpal', () => {
  // Boyd, Benjamin, Asplund, American Family Physician 2009;80(5):491-499, table: MCP 70-90, PIP and DIP 5-10.
  test('meets the textbook at the knuckle and beyond it', () => {
    for (const findings of [neck, shaft]) {
      expect(inside(held(findings, 'little.mcp'), [70, 90])).toBe(true);
      expect(overlaps(held(findings, 'little.mcp'), [70, 90])).toBe(true);
      expect(inside(held(findings, 'little.pip'), [5, 10])).toBe(true);
      expect(inside(held(findings, 'little.dip'), [5, 10])).toBe(true);
    }
  });

  // Common practice, no source: 45-70 is accepted too.
  test('overlaps what common practice accepts', () => {
    expect(overlaps(held(neck, 'little.mcp'), [45, 70])).toBe(true);
    expect(inside(held(neck, 'little.mcp'), [45, 70])).toBe(true);
  });

  // The same table: ulnar gutter for the 4th and 5th, radial gutter for the 2nd and 3rd.
  test('lies in an ulnar gutter for ring and little, in a radial one for index and middle', () => {
    const faceFor = (finger: 'index' | 'middle' | 'ring' | 'little') =>
      planOf(adult({ region: 'hand', digits: [finger], level: 'metacarpal-shaft', broken: 'yes' })).splint
        ?.face;
    expect(['index', 'middle', 'ring', 'little'].map((each) => faceFor(each as 'index'))).toEqual([
      'radial',
      'radial',
      'ulnar',
      'ulnar',
    ]);
  });

  // Normal anatomic position of hand and wrist, Family Practice Notebook: wrist 25 back; ADVANCE for NPs and PAs
  // 18(1):17: 10-20 back.
  test('of the shaft has its wrist back as the safe position has it', () => {
    expect(overlaps(held(shaft, 'wrist'), [-20, -10])).toBe(true);
    expect(overlaps(held(shaft, 'wrist'), [-25, -25])).toBe(true);
  });
});

describe('a finger', () => {
  // ADVANCE for NPs and PAs 18(1):17: MCP at least 70 for a phalanx.
  test('with a broken proximal phalanx aims at 70 in the knuckle', () => {
    const phalanx = adult({ region: 'finger', digits: ['ring'], level: 'proximal-phalanx', broken: 'yes' });
    expect(held(phalanx, 'ring.mcp').aim).toBeGreaterThanOrEqual(70);
  });

  // Boyd et al. 2009, table: distal phalanx, DIP straight, PIP and MCP moving.
  test('with a broken tip is straight at its end and moves elsewhere', () => {
    const tip = adult({ region: 'finger', digits: ['ring'], level: 'distal-phalanx', broken: 'yes' });
    expect(held(tip, 'ring.dip').aim).toBe(0);
    expect(planOf(tip).free).toEqual(expect.arrayContaining(['ring.pip', 'ring.mcp']));
  });

  // Brigham and Women's Hospital, Primary extensor tendon repair protocol, 2020: DIP 0-10 backwards, PIP free.
  test('with a hanging tip is held 0 to 10 backwards, its middle joint free', () => {
    const mallet = adult({
      region: 'finger',
      digits: ['ring'],
      level: 'dip-joint',
      signs: ['fingertip-droops'],
    });
    expect(held(mallet, 'ring.dip')).toEqual({ lo: -10, hi: 0, aim: -5 });
    expect(planOf(mallet).free).toContain('ring.pip');
  });

  // Leggit and Meko, American Family Physician 2006;73(5): PIP 0 without a break, end joint bent daily.
  test('with a hanging middle joint is straight there, and bends its end joint', () => {
    const slip = adult({
      region: 'finger',
      digits: ['ring'],
      level: 'pip-joint',
      signs: ['middle-joint-droops'],
    });
    expect(held(slip, 'ring.pip').aim).toBe(0);
    expect(planOf(slip).cautions).toContain('bend-the-end-joint-daily');
  });

  // Eaton, Electronic Textbook of Hand Surgery, thr030 (named in the protocol, not yet read): blocked at 30.
  test('whose middle joint was out is blocked about 30 degrees short of straight', () => {
    const out = adult({
      region: 'finger',
      digits: ['ring'],
      level: 'pip-joint',
      signs: ['was-out-of-joint'],
    });
    expect(held(out, 'ring.pip').aim).toBe(30);
  });
});

describe('a cut tendon', () => {
  const flexor = adult({ region: 'hand', face: 'palmar', ...deep });
  const extensor = adult({ region: 'hand', face: 'dorsal', ...deep });

  // Eaton thr074: wrist 30 and MCP 45 bent, fingers straight behind a dorsal block; thr076: wrist 30-45, MCP 45-60.
  test('of the palm side has wrist and knuckles bent as after a repair', () => {
    expect(overlaps(held(flexor, 'wrist'), [30, 30])).toBe(true);
    expect(overlaps(held(flexor, 'index.mcp'), [45, 60])).toBe(true);
    expect(overlaps(held(flexor, 'index.pip'), [0, 0])).toBe(true);
    expect(planOf(flexor).splint?.face).toBe('dorsal');
  });

  // From memory: wrist 0-30 bent, MCP 50-70 for one that is not repaired yet.
  test('of the palm side agrees with the first-aid angles as remembered', () => {
    expect(inside(held(flexor, 'wrist'), [0, 30])).toBe(true);
    expect(inside(held(flexor, 'index.mcp'), [50, 70])).toBe(true);
  });

  // Eaton thr065: wrist 45 back, MCP 0-5 bent, middle and end joints free; thr066: wrist 30-40 back.
  test('of the back has the wrist well back, the knuckles nearly straight, the rest free', () => {
    expect(overlaps(held(extensor, 'wrist'), [-45, -45])).toBe(true);
    expect(inside(held(extensor, 'wrist'), [-40, -30])).toBe(true);
    expect(inside(held(extensor, 'index.mcp'), [0, 5])).toBe(true);
    expect(planOf(extensor).free).toEqual(expect.arrayContaining(['index.pip', 'index.dip']));
  });

  // Ketchum 1978 (Occupational Ergonomics, table 45.3): the index flexor moves 10.1 mm a radian at the knuckle;
  // bending the knuckle slackens a flexor and stretches an extensor, so that no position serves both.
  test('of both sides cannot be served by one position', () => {
    const both = planOf(
      adult({ region: 'hand', face: 'palmar', ...deep }, { region: 'hand', face: 'dorsal', ...deep }),
    );
    expect(both.conflict).toBe(true);
    const slackMm = (degrees: number) => 10.1 * ((degrees * Math.PI) / 180);
    expect(slackMm(held(flexor, 'index.mcp').lo) - slackMm(held(extensor, 'index.mcp').hi)).toBeGreaterThan(
      5,
    );
  });

  // Griffin et al., Open Orthopaedics Journal 2012;6:36: a wound at the knuckle is a human bite until disproved.
  test('at the knuckle is a bite until disproved', () => {
    const knuckle = adult({
      region: 'hand',
      level: 'mcp-joint',
      wound: 'shallow',
      face: 'dorsal',
      cause: 'punch',
    });
    expect(planOf(knuckle)).toMatchObject({ hold: 'as-it-lies', urgency: 'today', call: true });
  });
});

describe('the thumb and the scaphoid', () => {
  const scaphoid = adult({ region: 'wrist', broken: 'unsure', signs: ['snuffbox-tender'] });

  // Suspected scaphoid fracture, University Hospitals of North Midlands NHS Trust: thumb base in, tip free, clinic at
  // 10-14 days even when the first film is normal.
  test('is held with the thumb base, the tip free, and filmed again', () => {
    const plan = planOf(scaphoid);
    expect(plan.free).toContain('thumb.ip');
    expect(plan.splint?.to).toBe('thumb-short-of-end-joint');
    expect(plan.cautions).toContain('film-again-in-10-to-14-days');
  });

  // From memory, standard hand-therapy texts: palmar abduction about 40-45.
  test('stands out as round a glass', () => {
    expect(overlaps(held(scaphoid, 'thumb.cmc'), [40, 45])).toBe(true);
  });
});

describe('a burnt hand', () => {
  // What makes the safe position safe, Sunshine Social Welfare Foundation: wrist 10-15 back, MCP 70-90, fingers straight.
  test('burnt on its back lies in the safe position', () => {
    const back = adult({ region: 'hand', cause: 'burn', face: 'dorsal' });
    expect(overlaps(held(back, 'wrist'), [-15, -10])).toBe(true);
    expect(inside(held(back, 'ring.mcp'), [70, 90])).toBe(true);
    expect(overlaps(held(back, 'ring.pip'), [0, 0])).toBe(true);
  });

  // Orthoses for the burned hand, clinicalpub.com: a burnt palm is splinted with palm and fingers straight.
  test('burnt on its palm lies flat', () => {
    const palm = adult({ region: 'hand', cause: 'burn', face: 'palmar' });
    expect(overlaps(held(palm, 'ring.mcp'), [0, 0])).toBe(true);
    expect(held(palm, 'ring.mcp').hi).toBeLessThan(20);
  });
});

// BOAST 4, British Orthopaedic Association, 2017: antibiotic ideally within the hour, so that an open break is for now.
test('an open break is a matter for now', () => {
  const open = adult({ region: 'forearm', broken: 'yes', wound: 'deep', face: 'dorsal' });
  expect(planOf(open)).toMatchObject({ hold: 'as-it-lies', urgency: 'now', call: true });
});

// BOAST 10, British Orthopaedic Association, 2014, and del Pinal et al., Plastic and Reconstructive Surgery
// 2002;110:1232: tense swelling is enough, even where the pain is not.
test('a tense hand is a matter for now, with everything open to the skin', () => {
  const tense = planOf(adult({ region: 'hand', cause: 'crush', signs: ['tense-swelling'] }));
  expect(tense).toMatchObject({ urgency: 'now', call: true, splint: null });
  expect(tense.cautions).toContain('open-to-the-skin-at-heart-level');
});

// American Academy of Orthopaedic Surgeons, and Eaton, Electronic Textbook of Hand Surgery: normal motion.
test.each([
  ['wrist', -70, 80],
  ['ring.mcp', -45, 90],
  ['ring.pip', 0, 100],
  ['ring.dip', 0, 90],
  ['thumb.ip', -20, 80],
] as [Joint, number, number][])('%s moves from %d to %d degrees', (joint, least, most) => {
  expect(normalMotion(joint)).toEqual([least, most]);
});
