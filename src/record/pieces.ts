// The pieces of a handover by text, each a short sentence, and how badly each is needed.
import type { CheckRecord } from '../care/types.ts';
import { FINGERS } from '../clinical/anatomy.ts';
import type { Direction, Plan, Site } from '../model.ts';
import { beyondCounts, lastCount, reasonsInWords } from './assessment.ts';
import {
  dangersOf,
  foundIn,
  isSettled,
  known,
  reasonKey,
  shortWhereOf,
  skinOf,
  suspectedOf,
} from './findings.ts';
import { heldIn, type Held } from './held.ts';
import { momentOf } from './moments.ts';
import { halfToldCount } from './open-matters.ts';
import { flagsOf, holdOf, seenByOf } from './recommendation.ts';
import type { Telling } from './recorded.ts';
import { urgencyOf } from './urgency.ts';

export interface Piece {
  section: 'I' | 'S' | 'B' | 'A' | 'R';
  says: string;
  /** 0 must be told; the higher the number, the sooner it is left out. */
  rank: number;
}
type Ranked = readonly [says: string | null, rank: number];

export function piecesOf(telling: Telling): Piece[] {
  return [
    ...inSection('I', identify(telling)),
    ...inSection('S', situation(telling)),
    ...inSection('B', background(telling)),
    ...inSection('A', assessment(telling)),
    ...inSection('R', recommendation(telling)),
  ];
}

function inSection(section: Piece['section'], ranked: readonly Ranked[]): Piece[] {
  return ranked.flatMap(([says, rank]) => (says ? [{ section, says, rank }] : []));
}

function identify({ say, case: of, protocol }: Telling): Ranked[] {
  const state = protocol.signature.state === 'signed' ? 'signed' : 'unsigned';
  return [[say(`record.text.${state}`, { code: of.code, version: of.version }), 0]];
}

function situation(telling: Telling): Ranked[] {
  const { say, case: of } = telling;
  const urgency = urgencyOf(telling);
  // That the plan was made is no reason of its own.
  const reason = of.call?.reasons.find((each) => each !== 'plan');
  return [
    ...what(telling),
    [urgency === 'soon' ? null : say(`record.text.urgency.${urgency}`), 0],
    [reason ? say('record.text.called', { reason: say(`call.reason.${reasonKey(reason)}`) }) : null, 3],
  ];
}

function what(telling: Telling): Ranked[] {
  const { say } = telling;
  // What stands against each other must be told together.
  const second = telling.case.plan?.conflict ? 0 : 2;
  const where = shortWhereOf(telling);
  const [first, ...more] = isSettled(telling) ? dangersOf(telling) : suspectedOf(telling);
  if (first === undefined) return [[say('record.text.where', { where }), 0]];
  return [
    [say('record.text.what', { where, injuries: first }), 0],
    ...more.map((injury, at) => [say('record.text.more', { injury }), at === 0 ? second : 4] as const),
  ];
}

function background(telling: Telling): Ranked[] {
  const { say, case: of, history } = telling;
  const { age, sex, sites } = foundIn(telling);
  const person = [age && say(`record.age.${age}`), sex && say(`record.sex.${sex}`)]
    .filter(Boolean)
    .join(', ');
  const since = momentOf(telling, history.answeredAt['hours'] ?? of.openedAt);
  const [worst] = sites.toSorted((a, b) => severity(b) - severity(a));
  return [
    [person ? say('record.text.person', { told: person }) : null, 1],
    [factOf(telling, 'hours', { time: since }), 2],
    [worst ? skinOfWorst(telling, worst) : null, 1],
    [causeOf(telling), 6],
    [factOf(telling, 'tetanus'), flagsOf(telling).length > 0 ? 2 : 6],
    [factOf(telling, 'distance'), 6],
    [history.otherHandHurt ? say('record.text.other-hand') : null, 1],
  ];
}

// Without words of its own, an answer is left to the sheet.
function factOf(telling: Telling, question: string, params: Record<string, string> = {}): string | null {
  const key = `record.text.${question}.${known(telling.case.facts[question])}`;
  return telling.protocol.words.has(key) ? telling.say(key, params) : null;
}

const SEVERITY = ['none', 'shallow', 'not-told', 'burn', 'deep'];

function severity(site: Site): number {
  return SEVERITY.indexOf(skinOf(site));
}

function skinOfWorst({ say }: Telling, site: Site): string {
  const skin = skinOf(site);
  if (skin !== 'deep') return say(`record.text.skin.${skin}`);
  if (!site.face || site.notKnown?.includes('face')) return say('record.text.skin.deep-plain');
  return say('record.text.skin.deep', { face: say(`record.face.${site.face}`) });
}

// "Other" stands for a cause that was not asked further.
function causeOf(telling: Telling): string | null {
  const cause = foundIn(telling).sites.find((site) => site.cause && site.cause !== 'other')?.cause;
  return cause ? telling.say('record.text.cause', { cause: telling.say(`record.cause.${cause}`) }) : null;
}

function assessment(telling: Telling): Ranked[] {
  const { say, history } = telling;
  const last = lastCount(telling);
  const failed = history.checks.findLast(({ verdict }) => verdict.outcome === 'failed');
  return [
    [last ? countOf(last, telling) : null, 0],
    [halfTold(telling), 0],
    [last ? feltOf(last, telling) : null, 1],
    [failed && failed !== last ? failedOf(failed, telling) : null, 1],
    [history.checks.length === 0 ? say('record.text.no-count') : null, 3],
  ];
}

function countOf({ at, told, verdict }: CheckRecord, telling: Telling): string {
  const { say } = telling;
  return say('record.text.count', {
    hurt: told.refill ?? '?',
    other: told.otherRefill ?? '?',
    time: momentOf(telling, at),
    outcome: say(`record.text.outcome.${verdict.outcome}`),
  });
}

function halfTold(telling: Telling): string | null {
  const half = halfToldCount(telling.case);
  if (!half) return null;
  const { at, hurt, other } = half;
  return telling.say('record.text.half-told', { time: momentOf(telling, at), hurt, other });
}

function feltOf({ verdict }: CheckRecord, telling: Telling): string | null {
  const reasons = beyondCounts(verdict.reasons);
  return reasons.length === 0
    ? null
    : telling.say('record.text.why', { reasons: reasonsInWords(reasons, telling) });
}

function failedOf({ at, verdict }: CheckRecord, telling: Telling): string {
  const reasons = reasonsInWords(beyondCounts(verdict.reasons).slice(0, 2), telling);
  return telling.say('record.text.failed', { time: momentOf(telling, at), reasons });
}

function recommendation(telling: Telling): Ranked[] {
  const { say, case: of } = telling;
  const { plan } = of;
  if (!plan) return [[say('record.text.no-replies'), 7]];
  const stay = plan.usualStay;
  return [
    ...(plan.hold === 'as-planned' ? heldPhrases(plan, telling) : [say(restKey(plan))]).map(
      (says) => [says, 0] as const,
    ),
    [of.corrections ? say('record.text.corrected') : null, 1],
    ...splintPhrases(plan, telling).map((says) => [says, 2] as const),
    [seenIn(telling), 1],
    ...flagsOf(telling).flatMap((flag): Ranked[] => flagPiece(flag, telling)),
    [stay ? say('record.text.stay', { from: stay.weeks[0], to: stay.weeks[1] }) : null, 5],
    [say('record.text.no-replies'), 4],
  ];
}

function restKey(plan: Plan): string {
  const hold = holdOf(plan);
  return `record.text.${hold === 'as-it-lies' ? 'lies' : hold}`;
}

// Tetanus is told with the background already.
function flagPiece(flag: string, { say, protocol }: Telling): Ranked[] {
  const key = `record.text.flag.${flag}`;
  return flag !== 'tetanus' && protocol.words.has(key) ? [[say(key), 2]] : [];
}

function seenIn(telling: Telling): string | null {
  const { say, case: of } = telling;
  const by = seenByOf(telling);
  const isUrgent = urgencyOf(telling) !== 'soon';
  return isUrgent || by === null || of.facts['seen'] === 'seen'
    ? null
    : say('record.text.seen', { time: momentOf(telling, by) });
}

function splintPhrases(plan: Plan, { say, case: of }: Telling): string[] {
  if (of.material === 'none') return [];
  return plan.splints.map(({ face, from, to }) =>
    face === 'finger' || face === 'tip'
      ? say('record.text.small-splint')
      : say('record.text.splint', {
          face: say(`record.face-of-splint.${face}`),
          from: say(`plan.from.${from}`),
          to: say(`plan.to.${to}`),
        }),
  );
}

/** `Held fingers MCP/PIP/DIP flex 70/5/5.`: joints of the same digits in the same direction are told together. */
function heldPhrases(plan: Plan, telling: Telling): string[] {
  const { say } = telling;
  const alike = Map.groupBy(heldIn(plan), (held) =>
    held.digits.length > 0 ? `${held.digits.join()} ${directionOf(held)}` : JSON.stringify(held),
  );
  return [...alike.values()].map((all) => {
    const [first] = all as [Held];
    const joints = all.map(({ part }) => say(`record.text.joint.${part}`)).join('/');
    return say('record.text.held', {
      joints: first.digits.length > 0 ? `${fingersOf(first, telling)} ${joints}` : joints,
      direction: say(`record.text.direction.${directionOf(first)}`),
      degrees: all.map(({ aim }) => aim).join('/'),
    });
  });
}

// Straight is neither: told with the bends beside it.
function directionOf({ direction, aim }: Held): Direction {
  return aim === 0 && direction !== 'abduction' ? 'flexion' : direction;
}

function fingersOf({ digits }: Held, { say }: Telling): string {
  if (digits.length === FINGERS.length) return say('record.text.fingers');
  return digits.map((digit) => say(`plan.digit.${digit}`)).join('+');
}
