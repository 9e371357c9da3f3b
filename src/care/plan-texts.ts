// A plan in words: three texts, more only where several hurt places need long words; the first safe to act on alone, the
// last good without signal.
import { isPalmUp } from '../clinical/palm-up.ts';
import type { Digit, HeldJoint, Plan, Splint } from '../model.ts';
import { numberTexts } from '../wording/compose.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import { digitWords } from './digit-words.ts';
import { partOf, partsSet, setPieces } from './set-pieces.ts';
import type { Case } from './types.ts';

type Say = (key: string, params?: Record<string, string | number>) => string;

/** Room for the counter in front, such as `1/3 `. */
const COUNTER = 4;
/** Texts of a plan for one hurt place. */
const MOST_TEXTS = 3;

/** Every text of the plan, numbered, in order. */
export function planTexts(of: Case, say: Say): string[] {
  const plan = of.plan;
  if (!plan) return [];
  return numberTexts(bodiesOf(of, plan, say));
}

function bodiesOf(of: Case, plan: Plan, say: Say): string[] {
  const urgency = urgencyWords(of, plan, say);
  const last = `${say('plan.offline')} ${urgency}`;
  if (plan.hold === 'free')
    return packFree(
      plan.injuries.includes('fingertip-cut')
        ? [headOf(of, say), say('plan.free-tip')]
        : [headOf(of, say), say('plan.free'), say('plan.free-watch')],
      advice(of, plan, say),
      urgency,
    );
  if (plan.hold === 'as-it-lies') return [...pack(liesPieces(of, plan, say)).slice(0, MOST_TEXTS), last];
  const [first, over] = firstText(of, plan, say);
  const [second, ...more] = pack([...over, ...splintPieces(of, plan, say)]);
  if (of.material === 'none') return [first, second ?? say('make.none'), ...more, last];
  if (second === undefined) return [first, say('plan.straps'), last];
  return [first, more.length > 0 ? second : withStraps(second, plan, say), ...more, last];
}

// Water comes before anything is laid on a burn.
function liesPieces(of: Case, plan: Plan, say: Say): string[] {
  const cooling = plan.cautions.includes(COOLING) ? say(`plan.advice.${COOLING}`) : '';
  const noTesting = plan.cutDigits.length > 0 ? say('plan.no-testing') : '';
  const told = advice(of, plan, say).filter((text) => text !== cooling);
  return [headOf(of, say), cooling, say(liesKey(plan)), noTesting, ...told];
}
const COOLING = 'cool-20-minutes-rings-off';

/** Whether the plan itself says how to rest the limb, since there is nothing to splint with and room for it. */
export function saysHowToRest(of: Case, say: Say): boolean {
  return of.material === 'none' && planTexts(of, say).some((text) => text.endsWith(say('make.none')));
}

/** Whether all that is splinted is a finger: nothing there is shaped or measured as for a wrist. */
export function isFingerSplintOnly(plan: Plan | null): boolean {
  return plan?.splints.every(({ face }) => face === 'finger' || face === 'tip') ?? false;
}

// How tight is asked again when the splint is on, so it is only said here where it fits.
function withStraps(text: string, plan: Plan, say: Say): string {
  // A finger splint is taped, and its own text says how tight.
  if (isFingerSplintOnly(plan)) return text;
  const longer = `${text} ${say('plan.straps')}`;
  return fits(longer) ? longer : text;
}

/**
 * Whether three texts cannot hold this plan: several hurt places that need long words. Then it takes more, the last of
 * them still the one that is good without signal; such a plan must bring in a person.
 */
export function isLong(of: Case, say: Say): boolean {
  return of.plan?.hold === 'as-planned' && planTexts(of, say).length > MOST_TEXTS;
}

// Whatever holds do not fit beside the caution go first into the second text.
function firstText(of: Case, plan: Plan, say: Say): [string, string[]] {
  const holds = holdPieces(plan, say);
  const tail = tailOf(plan, say);
  const text = (head: string, count: number) => [head, ...holds.slice(0, count), tail].join(' ').trim();
  const long = headOf(of, say);
  let taken = holds.length;
  while (taken > 1 && !fits(text(long, taken))) taken -= 1;
  const head = fits(text(long, taken)) ? long : sideOf(of, say);
  return [text(head, taken), holds.slice(taken)];
}

// Where the places' names leave no room for how to hold them, the side alone goes in front.
function sideOf(of: Case, say: Say): string {
  const side = of.findings?.side;
  return side ? say('plan.head-side', { side: say(`plan.side.${side}`) }) : '';
}

function tailOf({ cutDigits }: Plan, say: Say): string {
  if (cutDigits.length === 0) return say('plan.no-force');
  if (cutDigits.every((digit) => digit === 'thumb')) return say('plan.do-not-bend-thumb');
  const digits = digitWords(cutDigits, say);
  return cutDigits.length > 1 ? say('plan.do-not-bend') : upperFirst(say('plan.do-not-bend-one', { digits }));
}

function upperFirst(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
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

// What is least urgent of the advice is left out where it would take a text too many.
function packFree(before: string[], told: string[], after: string): string[] {
  const texts = pack([...before, ...told, after]);
  return texts.length > MOST_TEXTS && told.length > 0 ? packFree(before, told.slice(0, -1), after) : texts;
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
      ? [digitWords(site.digits, say)]
      : [say(`plan.place.${site.region}`)],
  );
  return [...new Set(names)].join(' + ');
}

function liesKey(plan: Plan): string {
  if (plan.cautions.includes('keep-the-part-dry-and-cool')) return 'plan.lies-stump';
  if (plan.injuries[0] === 'infected') return 'plan.lies-infected';
  if (plan.cautions.includes('open-to-the-skin-at-heart-level')) return 'plan.lies-open';
  return plan.cautions.includes('leave-open-do-not-force') ? 'plan.lies-wound' : 'plan.lies';
}

/** When the plan was made after 17:00 local time: "before dark" is over. */
export const MADE_IN_THE_EVENING = 'planned.evening';

/** When a clinic should see it; `anew` where a call made it more urgent than the plan. */
export function urgencyWords(of: Case, plan: Plan, say: Say, anew = plan.urgency): string {
  const key = anew === plan.urgency ? urgencyKey(of, plan) : anew;
  return say(`plan.urgency.${key}`, { days: Math.max(1, Math.round(plan.seenBy.hours / 24)) });
}

function urgencyKey(of: Case, { urgency, seenBy }: Plan): string {
  if (seenBy.unlessBetter) return 'wait';
  if (urgency === 'soon' && seenBy.hours <= 24) return 'tomorrow';
  return urgency === 'today' && of.facts[MADE_IN_THE_EVENING] ? 'tonight' : urgency;
}

// What is said with some plans only, where it fits: each a short sentence of its own.
function advice(of: Case, plan: Plan, say: Say): string[] {
  const sites = of.findings?.sites ?? [];
  const isOpen = sites.some(
    ({ wound, signs }) => (wound ?? 'none') !== 'none' || signs?.includes('bone-visible'),
  );
  return plan.cautions
    .filter((key) => ADVICE.includes(key) && (key !== 'cover-no-washing-in' || isOpen))
    .toSorted((a, b) => ADVICE.indexOf(a) - ADVICE.indexOf(b))
    .slice(0, 3)
    .map((key) => say(`plan.advice.${key}`));
}
const ADVICE = [
  'press-and-keep-pressing',
  'keep-the-part-dry-and-cool',
  'leave-it-in-pad-round-it',
  'cover-no-washing-in',
  'cool-20-minutes-rings-off',
  'burn-dressing',
  'ring-off-or-cut',
  'wash-15-minutes-not-tight',
  'dress-and-guard-the-tip',
  'nail-stays-on',
  'sprain-of-finger',
  'sprain-of-wrist',
  'bruise-cools-over-cloth',
];

// Splints between the same ends are said in one sentence, their faces together.
function splintPieces(of: Case, plan: Plan, say: Say): string[] {
  if (of.material === 'none') return [];
  const between = Map.groupBy(plan.splints, ({ face, from, to }) =>
    face === 'finger' || face === 'tip' ? `${face} ${from} ${to}` : `${from} ${to}`,
  );
  return [...between.values()].map((splints) => splintPiece(splints, plan, say));
}

function splintPiece(splints: Splint[], plan: Plan, say: Say): string {
  const [{ face, from, to }] = splints as [Splint];
  if (face === 'finger' || face === 'tip') {
    const digits = [...new Set(splints.flatMap((splint) => splint.digits))];
    if (face === 'tip') return say('plan.splint-tip', { digits: digitWords(digits, say) });
    return say(`plan.finger-splint.${fingerSplint(from, to, plan)}`, { digits: digitWords(digits, say) });
  }
  const faces = splints.map((splint) => say(`plan.face.${splint.face}`)).join(' + ');
  return say('plan.splint', { face: faces, from: say(`plan.from.${from}`), to: say(`plan.to.${to}`) });
}

function fingerSplint(
  from: string,
  to: string,
  plan: Plan,
): 'mallet' | 'middle' | 'whole' | 'back' | 'thumb-tip' {
  if (to === 'thumb-tip') return 'thumb-tip';
  if (plan.cautions.includes('splint-on-the-back-blocks-straightening')) return 'back';
  if (from === 'past-middle-joint') return 'mallet';
  return to === 'short-of-end-joint' ? 'middle' : 'whole';
}

/** What to do with each joint, in words: joints of several digits that are held alike are said together. */
function holdPieces(plan: Plan, say: Say): string[] {
  const phrases = new Map<string, Digit[]>();
  const set = partsSet(plan);
  for (const held of plan.position) {
    const phrase = set.has(partOf(held)) ? null : phraseOf(held, plan);
    if (phrase) phrases.set(phrase, [...(phrases.get(phrase) ?? []), ...digitOf(held)]);
  }
  const told = [...phrases].map(([phrase, digits]) =>
    say(`plan.hold.${phrase}`, { digits: digitWords(digits, say) }),
  );
  return [...told, ...setPieces(plan, say)];
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
  if (held.joint === 'wrist') return isPalmUp(plan) ? 'wrist-up-burn' : wristPhrase(-bent);
  if (digit === 'thumb') return thumbPhrase(part ?? '', bent, plan);
  return fingerPhrase(digit as Digit, part ?? '', bent, plan);
}

function wristPhrase(extension: number): string {
  if (extension >= 25) return 'wrist-well-up';
  if (extension >= 5) return 'wrist-up';
  return extension <= -5 ? 'wrist-down' : 'wrist-level';
}

function thumbPhrase(part: string, bent: number, plan: Plan): string | null {
  const holds = (joint: string) => plan.position.some((held) => held.joint === joint);
  const straight = plan.position.some((held) => held.joint === 'thumb.ip' && flexion(held) <= 10);
  if (part === 'cmc') return straight ? null : 'thumb-glass';
  if (holds('thumb.mcp')) return part === 'mcp' ? 'thumb-across' : null;
  if (bent > 10) return 'thumb-across';
  if (!holds('thumb.cmc')) return bent <= -2 ? 'thumb-tip-back' : 'thumb-tip-straight';
  return plan.cutDigits.includes('thumb') ? 'thumb-straight' : 'thumb-glass-straight';
}

function fingerPhrase(digit: Digit, part: string, bent: number, plan: Plan): string | null {
  const aimOf = (other: string) => {
    const held = plan.position.find((each) => each.joint === `${digit}.${other}`);
    return held ? flexion(held) : null;
  };
  const knuckle = aimOf('mcp');
  if (part === 'mcp') return knucklePhrase(bent, plan);
  // "Straight from there" is said with the bent knuckle already.
  if (knuckle !== null && knuckle >= 30) return part === 'pip' && bent >= 15 ? 'middle-bent' : null;
  if (part === 'pip') return middlePhrase(bent, aimOf('dip') !== null);
  const middle = aimOf('pip');
  if (bent <= -2) return 'tip-back';
  return middle !== null && middle < 15 ? null : 'tip-straight';
}

// Dead straight is asked for only where an extensor needs it: a swollen middle joint is not forced.
function middlePhrase(bent: number, holdsTip: boolean): string {
  if (bent >= 15) return 'middle-bent';
  if (holdsTip) return 'finger-straight';
  return bent >= 3 ? 'middle-near-straight' : 'middle-straight';
}

// "Bend" is not said to a hand with a finger whose tendon is assumed cut: such fingers are laid, not moved.
function knucklePhrase(bent: number, { cutDigits }: Plan): string {
  if (bent < 30) return 'knuckles-straight';
  return bent >= 60 && cutDigits.every((digit) => digit === 'thumb') ? 'knuckles-table' : 'knuckles-half';
}
