// From where a plan is drawn: which side, how much of the arm, and which way the fingers point.
import { ALONG, type Extent } from '../clinical/anatomy.ts';
import { isPalmUp } from '../clinical/palm-up.ts';
import type { Findings, Plan, Splint } from '../model.ts';

export type About = Pick<Findings, 'side' | 'sites'>;

export interface View {
  /** The side view is from the thumb, or from the little finger where the first splint lies on that edge. */
  from: 'thumb' | 'little';
  /** The flat view is of the face that the first splint lies on. */
  face: 'palm' | 'back';
  /** Hand lengths of arm above the wrist; null: only from the palm on, and larger. */
  begin: number | null;
  /** A right hand seen from the thumb points to the left, as it does in life; a hand of an unknown side is drawn as right. */
  pointsLeft: boolean;
  /** The forearm lies palm up: nothing but clean cloth may lie on a burnt palm. */
  palmUp: boolean;
}

const WHOLE_FOREARM = 1.08;
const PAST_WRIST = 0.45;

export function viewOf(plan: Plan, about: About): View {
  const first = plan.splints[0]?.face;
  const from = first === 'ulnar' ? 'little' : 'thumb';
  const pointsLeft = (about.side === 'left') === (from === 'little');
  const isOnPalm = first === 'palmar' || (first === 'finger' && smallSplintSide(plan, about) === 'palm');
  return { from, face: isOnPalm ? 'palm' : 'back', begin: beginOf(plan), pointsLeft, palmUp: isPalmUp(plan) };
}

function beginOf(plan: Plan): number | null {
  const nearest = Math.min(...plan.splints.map(({ from }) => ALONG[from as Extent] ?? 0));
  if (nearest <= ALONG['forearm-two-thirds']) return WHOLE_FOREARM;
  return nearest <= ALONG['palm-10mm-short-of-crease'] ? PAST_WRIST : null;
}

const BLOCKS = 'splint-on-the-back-blocks-straightening';

/** A splint that only stops the finger from straightening: fixed at the finger's base, so that it may bend more. */
export function isHinge(plan: Plan, { face }: Splint): boolean {
  return face === 'finger' && plan.cautions.includes(BLOCKS);
}

/** A small finger splint lies on the palm side, but not over a wound there, and on the back where straightening must be blocked. */
export function smallSplintSide(plan: Plan, { sites }: About): 'palm' | 'back' {
  const woundInPalm = sites.some(
    ({ face, wound }) => face === 'palmar' && wound !== 'none' && wound !== undefined,
  );
  return woundInPalm || plan.cautions.includes(BLOCKS) ? 'back' : 'palm';
}
