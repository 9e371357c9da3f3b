// The drawing tells the truth: every joint that a plan holds is drawn at the plan's aim.
import { expect, test } from 'vitest';
import { jointsOf } from '../../src/clinical/anatomy.ts';
import type { Digit, HeldJoint, Joint, Plan } from '../../src/model.ts';
import { draw, everyPlan, toDraw } from './plans-to-draw.ts';

interface Point {
  x: number;
  y: number;
}
const DEGREE = 1;

/** The lines of bones in a drawing, by what each stands for. */
function bonesIn(svg: string): { of: string[]; points: Point[] }[] {
  return [...svg.matchAll(/<polyline points="([^"]+)" data-of="([^"]+)"/g)].map(([, points, of]) => ({
    of: of!.split(' '),
    points: points!.split(' ').map((pair) => {
      const [x, y] = pair.split(',').map(Number);
      return { x: x!, y: y! };
    }),
  }));
}

/** How far a line turns at one of its points: clockwise on the page is positive. */
function turnAt(points: Point[], at: number): number {
  const heading = (from: Point, to: Point) => (Math.atan2(to.y - from.y, to.x - from.x) * 180) / Math.PI;
  const turn = heading(points[at]!, points[at + 1]!) - heading(points[at - 1]!, points[at]!);
  return ((turn + 540) % 360) - 180;
}

/** Degrees of flexion, or abduction, as drawn. The palm looks down, so that fingers flex clockwise; the thumb curls back. */
function drawnAt(svg: string, joint: Joint): number | undefined {
  const bones = bonesIn(svg);
  const arm = bones.find(({ of }) => of.includes('arm'))?.points;
  if (joint === 'wrist') return arm && turnAt(arm, arm.length - 2);
  if (joint === 'elbow') return arm && -turnAt(arm, 1);
  const digit = joint.split('.')[0] as Digit;
  const line = bones.find(({ of }) => of.includes(digit))?.points;
  const turn = line && turnAt(line, jointsOf(digit).indexOf(joint) + 1);
  return turn !== undefined && (joint === 'thumb.mcp' || joint === 'thumb.ip') ? -turn : turn;
}

const aimed = ({ direction, aim }: HeldJoint): number => (direction === 'extension' ? -aim : aim);

function wrong(plan: Plan, svg: string): string[] {
  return plan.position
    .map((held) => ({ held, drawn: drawnAt(svg, held.joint) }))
    .filter(({ held, drawn }) => drawn === undefined || Math.abs(drawn - aimed(held)) > DEGREE)
    .map(
      ({ held, drawn }) => `${held.joint} aim ${aimed(held)} drawn ${drawn}: ${plan.injuries.join(' + ')}`,
    );
}

const PLANS = everyPlan();

test('on every way through the tree each held joint is drawn within a degree of its aim', () => {
  expect(new Set(PLANS.flatMap(({ plan }) => wrong(plan, draw({ plan, about: { sites: [] } }))))).toEqual(
    new Set(),
  );
  expect(PLANS.filter(({ plan }) => plan.position.length > 0).length).toBeGreaterThan(50);
});

test('the sides of the bones are in the published proportions: a ring finger’s 0.244, 0.165, 0.107', () => {
  const boxer = toDraw({
    side: 'left',
    age: 'adult',
    material: 'sheet',
    sites: [
      {
        region: 'hand',
        digits: ['ring'],
        level: 'metacarpal-neck',
        broken: 'yes',
        wound: 'none',
        cause: 'punch',
      },
    ],
  });
  const { points } = bonesIn(draw(boxer)).find(({ of }) => of.includes('ring') && of.includes('little'))!;
  const lengths = points.slice(1).map(({ x, y }, at) => Math.hypot(x - points[at]!.x, y - points[at]!.y));
  const [metacarpal, ...phalanges] = lengths;
  expect(phalanges.map((length) => length / metacarpal!)).toEqual(
    [0.244, 0.165, 0.107].map((part) => expect.closeTo(part / 0.421, 2)),
  );
});

test('a joint beside the one that is held rests gently curved, never straighter than the rest of the finger', () => {
  const mallet = toDraw({
    age: 'adult',
    sites: [
      {
        region: 'finger',
        digits: ['ring'],
        level: 'dip-joint',
        broken: 'no',
        wound: 'none',
        cause: 'jammed',
        signs: ['fingertip-droops'],
      },
    ],
  });
  const svg = draw(mallet);
  expect(drawnAt(svg, 'ring.dip')).toBeCloseTo(-5, 0);
  expect(drawnAt(svg, 'ring.mcp')).toBeGreaterThan(5);
  expect(drawnAt(svg, 'ring.pip')).toBeGreaterThan(5);
});
