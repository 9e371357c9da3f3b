// The findings of a case in words: where, what is suspected, the wound, the cause, the signs.
import type { Digit, Findings, Site } from '../model.ts';
import type { Say, Telling } from './recorded.ts';

/** What is known so far, also while the questions still run. */
export function foundIn({ case: of }: Telling): Findings {
  return of.findings ?? of.asking.context.findings;
}

/** `left wrist + ring finger`. */
export function whereOf(telling: Telling): string {
  const { say } = telling;
  const { side } = foundIn(telling);
  const place = placesOf(telling);
  return side ? say('record.side-place', { side: say(`record.side.${side}`), place }) : place;
}

/** The same in few letters, for a text. */
export function shortWhereOf(telling: Telling): string {
  const { say } = telling;
  const { side } = foundIn(telling);
  const place = placesOf(telling);
  return side ? say('plan.side-place', { side: say(`plan.side.${side}`), place }) : place;
}

function placesOf(telling: Telling): string {
  if (!telling.case.asking.context.named) return telling.say('call.place-not-told');
  return [...new Set(foundIn(telling).sites.map((site) => placeOf(site, telling.say)))].join(' + ');
}

/** `wrist`, `ring finger`, `hand (ring)`. */
export function placeOf({ region, digits }: Site, say: Say): string {
  if (!digits?.length || region === 'thumb') return say(`plan.place.${region}`);
  return region === 'hand'
    ? say('record.hand-digits', { digits: listed(digits, say) })
    : digitsOf(digits, say);
}

const listed = (digits: readonly Digit[], say: Say): string =>
  digits.map((digit) => say(`plan.digit.${digit}`)).join(' + ');

/** `ring + little fingers`, `thumb`, `all fingers`. */
export function digitsOf(digits: readonly Digit[], say: Say): string {
  const fingers = digits.filter((digit) => digit !== 'thumb');
  if (fingers.length === 4) return say('record.all-fingers');
  if (fingers.length === 0) return say('plan.digit.thumb');
  return say(fingers.length === 1 ? 'plan.one-finger' : 'plan.some-fingers', { digits: listed(digits, say) });
}

/** A danger settled the plan before everything was asked: what nobody was asked is then assumed, and never told as found. */
export function isSettled({ case: of }: Telling): boolean {
  return of.asking.context.raised.includes('settled');
}

/** The dangers told, in words. */
export function dangersOf({ case: of, say }: Telling): string[] {
  return of.asking.context.raised
    .filter((key) => key.startsWith('danger.'))
    .map((key) => say(`call.reason.${reasonKey(key)}`));
}

/** The injuries suspected, in words: rows of the protocol, as the clinicians' texts name them. */
export function suspectedOf({ case: of, say }: Telling): string[] {
  return injuriesOf(of.plan?.injuries ?? []).map((id) => say(`plan.injury.${id}`));
}

/** Rows that name something; `nothing` is what is left where no other row was established. */
export function injuriesOf(rows: readonly string[]): string[] {
  return rows.filter((id) => id !== 'nothing');
}

/** The key of a reason for calling, as the clinicians' texts have it: every kind of failed check is one. */
export function reasonKey(reason: string): string {
  return reason.startsWith('check.') ? 'check-failed' : reason.replace(/^danger[.]/, 'danger-');
}

/** What is told of the skin at a place: a key under `record.skin`. */
export function skinOf({ wound, cause, notKnown }: Site): 'none' | 'shallow' | 'deep' | 'burn' | 'not-told' {
  if (cause === 'burn') return 'burn';
  return notKnown?.includes('wound') ? 'not-told' : (wound ?? 'not-told');
}

/** What each place has to tell, with the place in front where there are several. */
export function byPlace(telling: Telling, tellOf: (site: Site) => string | null): string {
  const { sites } = foundIn(telling);
  const told = sites.flatMap((site) => {
    const words = tellOf(site);
    return words === null ? [] : [{ place: placeOf(site, telling.say), words }];
  });
  const [first] = told;
  if (!first) return telling.say('record.not-told');
  if (sites.length === 1) return first.words;
  return told.map(({ place, words }) => telling.say('record.site', { place, told: words })).join('; ');
}

/** A fact as it was answered; one that was only asked for, or that nobody was sure of, is not told. */
export function known(fact: string | undefined): string {
  return fact === undefined || fact === ASKED || fact === 'not-sure' ? 'not-told' : fact;
}

/** What a case keeps under a question that was asked and not answered. */
const ASKED = 'asked';

/** An answer to a question after the plan: in the handover's own words, or as the question prints one that a keeper added. */
export function answerInWords(
  { say, protocol: { words } }: Telling,
  question: string,
  id: string,
  params: Record<string, string> = {},
): string {
  const own = `record.${question}.${id}`;
  if (words.has(own)) return say(own, params);
  const label = `ask.${question}.${id}`;
  return words.has(label) ? say(label) : id;
}
