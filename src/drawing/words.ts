// The words of a drawing: which of the catalogue's a plan needs, and the whole position said for whoever cannot see it.
import { FINGERS } from '../clinical/anatomy.ts';
import type { Digit, HeldJoint, Joint, Plan, Splint } from '../model.ts';
import type { DrawingWords } from './draw-plan.ts';
import type { Labels } from './key.ts';
import { leavingOf } from './unheld-view.ts';
import { type About, viewOf } from './view.ts';

/** Says a key of the catalogue in the reader's language. */
export type Say = (key: string, params?: Record<string, string | number>) => string;

/** Words under `pages.drawing`, with the names of digits, sides and faces that the plan's texts use. */
export function wordsFor(plan: Plan, about: About, say: Say): DrawingWords {
  const hand = say(`pages.drawing.hand.${about.side ?? 'unknown'}`);
  const view = viewOf(plan, about);
  const lies = plan.hold === 'as-it-lies' ? `lies-${leavingOf(plan)}` : plan.hold;
  const title = say(`pages.drawing.title.${lies}`, { hand });
  const side =
    plan.hold === 'as-planned'
      ? say(`pages.drawing.from.${view.from}`)
      : say(`pages.drawing.resting.${plan.hold}`, { hand });
  const flat = say(`pages.drawing.flat.${view.face}`, { hand });
  return { title, desc: descOf(plan, lies, say), labels: { side, flat, ...keyWords(say) } };
}

function keyWords(say: Say): Omit<Labels, 'side' | 'flat'> {
  const word = (name: string) => say(`pages.drawing.key.${name}`);
  return {
    splint: word('splint'),
    strap: word('strap'),
    free: word('free'),
    sling: word('sling'),
    board: word('board'),
    pad: word('pad'),
    tie: word('tie'),
    still: word('still'),
  };
}

function descOf(plan: Plan, lies: string, say: Say): string {
  if (plan.hold !== 'as-planned') return say(`pages.drawing.desc.${lies}`);
  const splints = plan.splints.map((splint) => splintPiece(splint, say));
  return [...positionPieces(plan, say), ...splints].join(' ');
}

/** `ring + little: big knuckle bent 70°, middle joint bent 5°.` Digits that are held alike are said together. */
function positionPieces(plan: Plan, say: Say): string[] {
  const limbs = Map.groupBy(plan.position, ({ joint }) => limbOf(joint));
  const told = [...limbs].map(([limb, held]) => ({
    limb,
    says: held.map((one) => saysOf(one, say)).join(', '),
  }));
  return [...Map.groupBy(told, ({ says }) => says)].map(([says, alike]) => {
    const fingers = alike.flatMap(({ limb }) => FINGERS.filter((finger) => finger === limb));
    return fingers.length ? `${digitsInWords(fingers, say)}: ${says}.` : `${says}.`;
  });
}

function limbOf(joint: string): string {
  return joint.split('.')[0]!;
}

function saysOf({ joint, direction, aim }: HeldJoint, say: Say): string {
  const bend = direction === 'extension' ? -aim : aim;
  const to = direction === 'abduction' ? 'away' : bend < 0 ? 'back' : bend === 0 ? 'straight' : 'bent';
  return say(`pages.drawing.position.${to}`, { joint: jointInWords(joint, say), degrees: Math.abs(bend) });
}

/** `big knuckle`, `wrist`: the joint's part, without its finger. */
export function jointInWords(joint: Joint, say: Say): string {
  return say(`pages.drawing.joint.${partOf(joint)}`);
}

/** `wrist`, `mcp`, `thumb-ip`: a joint without its finger. */
function partOf(joint: string): string {
  const [digit, part] = joint.split('.');
  if (part === undefined) return joint;
  return digit === 'thumb' ? `thumb-${part}` : part;
}

function digitsInWords(digits: readonly Digit[], say: Say): string {
  const fingers = digits.filter((digit) => digit !== 'thumb');
  if (fingers.length === 4) return say('plan.all-fingers');
  return digits.map((digit) => say(`plan.digit.${digit}`)).join(' + ');
}

function splintPiece({ face, from, to, digits }: Splint, say: Say): string {
  const ends = { from: say(`plan.from.${from}`), to: say(`plan.to.${to}`) };
  if (face !== 'finger' && face !== 'tip')
    return say('plan.splint', { face: say(`plan.face.${face}`), ...ends });
  return say('pages.drawing.small-splint', { digits: digitsInWords(digits, say), ...ends });
}
