// A plan in words: at most three texts, the first safe to act on alone, the last good without signal.
import type { Digit, HeldJoint, Plan, Splint } from '../model.ts';
import { numberTexts } from '../wording/compose.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import type { Case } from './types.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

/** Room for the counter in front, such as `1/3 `. */
const COUNTER = 4;

/** Every text of the plan, numbered, in order. */
export function planTexts(of: Case, say: Say): string[] {
  const plan = of.plan;
  if (!plan) return [];
  return numberTexts(bodiesOf(of, plan, say));
}

function bodiesOf(of: Case, plan: Plan, say: Say): string[] {
  const last = `${say('plan.offline')} ${say(`plan.urgency.${plan.urgency}`)}`;
  if (plan.hold === 'free')
    return pack([
      headOf(of, say),
      say('plan.free'),
      ...advice(plan, say),
      say(`plan.urgency.${plan.urgency}`),
    ]);
  if (plan.hold === 'as-it-lies')
    return [...pack([headOf(of, say), say(liesKey(plan)), ...advice(plan, say)]), last];
  const [first, over] = firstText(of, plan, say);
  const [second, ...tooMany] = pack([...over, ...splintPieces(plan, say)]);
  const middle =
    second === undefined ? say('plan.straps') : tooMany.length > 0 ? second : withStraps(second, say);
  return [first, middle, last];
}

// How tight is asked again when the splint is on, so it is only said here where it fits.
function withStraps(text: string, say: Say): string {
  const longer = `${text} ${say('plan.straps')}`;
  return fits(longer) ? longer : text;
}

/**
 * Whether three texts cannot hold all of this plan: several hurt places that need long words. The holds come first, so
 * what is left out is where the second splint lies; such a plan must bring in a person.
 */
export function leavesOut(of: Case, say: Say): boolean {
  if (of.plan?.hold !== 'as-planned') return false;
  const [, over] = firstText(of, of.plan, say);
  return pack([...over, ...splintPieces(of.plan, say)]).length > 1;
}

// Whatever holds do not fit beside the caution go first into the second text.
function firstText(of: Case, plan: Plan, say: Say): [string, string[]] {
  const holds = holdPieces(plan, say);
  const tail = plan.cutDigits.length > 0 ? say('plan.do-not-bend') : say('plan.no-force');
  let taken = holds.length;
  while (taken > 1 && !fits([headOf(of, say), ...holds.slice(0, taken), tail].join(' '))) taken -= 1;
  return [[headOf(of, say), ...holds.slice(0, taken), tail].join(' '), holds.slice(taken)];
}

/** Fills texts with pieces, in order, as many as fit in each. */
function pack(pieces: string[]): string[] {
  const texts: string[] = [];
  for (const piece of pieces.filter((each) => each !== '')) {
    const before = texts.at(-1);
    if (before !== undefined && fits(`${before} ${piece}`)) texts[texts.length - 1] = `${before} ${piece}`;
    else texts.push(piece);
  }
  return texts;
}

function fits(text: string): boolean {
  return measure(foldForSms(`${'1'.repeat(COUNTER)}${text}`)).parts <= 1;
}

function headOf(of: Case, say: Say): string {
  const places = placesOf(of, say);
  const side = of.findings?.side;
  return side
    ? say('plan.head', { side: say(`plan.side.${side}`), places })
    : say('plan.head-no-side', { places });
}

/** The hurt places in words, such as `wrist + ring finger`. */
export function placesOf(of: Case, say: Say): string {
  const sites = of.findings?.sites ?? of.asking.context.findings.sites;
  const names = sites.flatMap((site) =>
    site.region === 'finger' && site.digits?.length
      ? site.digits.map((digit) => say(`plan.digit.${digit}`))
      : [say(`plan.place.${site.region}`)],
  );
  return [...new Set(names)].join(' + ');
}

function liesKey(plan: Plan): string {
  if (plan.cautions.includes('open-to-the-skin-at-heart-level')) return 'plan.lies-open';
  return plan.cautions.includes('leave-open-do-not-force') ? 'plan.lies-wound' : 'plan.lies';
}

// What is said with some plans only, where it fits: each a short sentence of its own.
function advice(plan: Plan, say: Say): string[] {
  return plan.cautions
    .filter((key) => ADVICE.includes(key))
    .slice(0, 2)
    .map((key) => say(`plan.advice.${key}`));
}
const ADVICE = [
  'press-and-keep-pressing',
  'keep-the-part-dry-and-cool',
  'leave-it-in-pad-round-it',
  'cover-no-washing-in',
  'cool-20-minutes-rings-off',
  'ring-off-or-cut',
  'wash-15-minutes-not-tight',
  'dress-and-guard-the-tip',
];

// Splints between the same ends are said in one sentence, their faces together.
function splintPieces(plan: Plan, say: Say): string[] {
  const between = Map.groupBy(plan.splints, ({ face, from, to }) =>
    face === 'finger' || face === 'tip' ? face : `${from} ${to}`,
  );
  return [...between.values()].map((splints) => splintPiece(splints, say));
}

function splintPiece(splints: Splint[], say: Say): string {
  const [{ face, from, to }] = splints as [Splint];
  if (face === 'finger' || face === 'tip') {
    const digits = splints.flatMap((splint) => splint.digits.map((digit) => say(`plan.digit.${digit}`)));
    return say(`plan.splint-${face}`, { digits: [...new Set(digits)].join(' + ') });
  }
  const faces = splints.map((splint) => say(`plan.face.${splint.face}`)).join(' + ');
  return say('plan.splint', { face: faces, from: say(`plan.from.${from}`), to: say(`plan.to.${to}`) });
}

/** What to do with each joint, in words: joints of several digits that are held alike are said together. */
function holdPieces(plan: Plan, say: Say): string[] {
  const phrases = new Map<string, Digit[]>();
  for (const held of plan.position) {
    const phrase = phraseOf(held, plan);
    if (phrase) phrases.set(phrase, [...(phrases.get(phrase) ?? []), ...digitOf(held)]);
  }
  return [...phrases].map(([phrase, digits]) =>
    say(`plan.hold.${phrase}`, { digits: digitWords(digits, say) }),
  );
}

function digitWords(digits: Digit[], say: Say): string {
  const fingers = digits.filter((digit) => digit !== 'thumb');
  if (fingers.length === 4) return say('plan.all-fingers');
  return digits.map((digit) => say(`plan.digit.${digit}`)).join(' + ');
}

function digitOf({ joint }: HeldJoint): Digit[] {
  const [digit, of] = joint.split('.');
  return of ? [digit as Digit] : [];
}

/** Degrees in the flexion direction, whatever direction the plan tells them in. */
function flexion({ direction, aim }: HeldJoint): number {
  return direction === 'extension' ? -aim : aim;
}

function phraseOf(held: HeldJoint, plan: Plan): string | null {
  const bent = flexion(held);
  const [digit, part] = held.joint.split('.');
  if (held.joint === 'elbow') return 'elbow';
  if (held.joint === 'wrist') return wristPhrase(-bent);
  if (digit === 'thumb') return thumbPhrase(part ?? '', bent, plan);
  return fingerPhrase(digit as Digit, part ?? '', bent, plan);
}

function wristPhrase(extension: number): string {
  if (extension >= 25) return 'wrist-well-up';
  if (extension >= 5) return 'wrist-up';
  return extension <= -5 ? 'wrist-down' : 'wrist-level';
}

function thumbPhrase(part: string, bent: number, plan: Plan): string | null {
  if (part === 'cmc') return 'thumb-glass';
  const across = plan.position.some((held) => held.joint === 'thumb.mcp');
  if (across) return part === 'mcp' ? 'thumb-across' : null;
  return bent <= 10 ? 'thumb-straight' : 'thumb-across';
}

function fingerPhrase(digit: Digit, part: string, bent: number, plan: Plan): string | null {
  const aimOf = (other: string) => {
    const held = plan.position.find((each) => each.joint === `${digit}.${other}`);
    return held ? flexion(held) : null;
  };
  const knuckle = aimOf('mcp');
  if (part === 'mcp')
    return bent >= 60 ? 'knuckles-table' : bent >= 30 ? 'knuckles-half' : 'knuckles-straight';
  // "Straight from there" is said with the bent knuckle already.
  if (knuckle !== null && knuckle >= 30) return part === 'pip' && bent >= 15 ? 'middle-bent' : null;
  if (part === 'pip')
    return bent >= 15 ? 'middle-bent' : aimOf('dip') === null ? 'middle-straight' : 'finger-straight';
  const middle = aimOf('pip');
  if (bent <= -2) return 'tip-back';
  return middle !== null && middle < 15 ? null : 'tip-straight';
}
