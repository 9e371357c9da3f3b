// Assessment: the counts of both hands, feeling, pain, the nerves, signs, what failed, and what was loosened.
import type { CheckRecord } from '../care/types.ts';
import { answerInWords, foundIn, known } from './findings.ts';
import { momentOf } from './moments.ts';
import type { Telling } from './recorded.ts';
import type { Row } from './rows.ts';

export function assessment(telling: Telling): Row[] {
  const { say, history } = telling;
  const none = say('record.none');
  const last = history.checks.at(-1)?.told;
  return [
    ['count', countInWords(telling)],
    ['feeling', last?.feeling ? say(`record.feeling.${last.feeling}`) : say('record.not-told')],
    ['pain', last?.pain ? say(`record.pain.${last.pain}`) : say('record.not-told')],
    ['nerves', nervesInWords(telling)],
    ['signs', signsOf(telling).join(', ') || none],
    ['failed', judged(telling, 'failed') || none],
    ['loosened', judged(telling, 'loosen') || none],
  ];
}

function nervesInWords(telling: Telling): string {
  const told = known(telling.case.facts['nerves']);
  return told === 'not-told' ? telling.say('record.not-told') : answerInWords(telling, 'nerves', told);
}

function signsOf(telling: Telling): string[] {
  const signs = foundIn(telling).sites.flatMap((site) => site.signs ?? []);
  return [...new Set(signs)].map((sign) => signInWords(telling, sign));
}

// The tree may have got a sign of a keeper's own, which is its own word.
function signInWords({ say, protocol }: Telling, sign: string): string {
  const key = `record.sign.${sign}`;
  return protocol.words.has(key) ? say(key) : sign;
}

/** The last check that told a count. */
export function lastCount({ history }: Telling): CheckRecord | undefined {
  return history.checks.findLast(({ told }) => told.refill !== undefined);
}

function countInWords(telling: Telling): string {
  const { say } = telling;
  const last = lastCount(telling);
  if (!last) return say('record.no-count');
  return say('record.count', {
    hurt: last.told.refill ?? '?',
    other: last.told.otherRefill ?? '?',
    time: momentOf(telling, last.at),
    outcome: say(`record.outcome.${last.verdict.outcome}`),
  });
}

/** The newest are told in words; all of them are in the counts. */
const MOST_TOLD = 3;

function judged(telling: Telling, outcome: CheckRecord['verdict']['outcome']): string {
  return telling.history.checks
    .filter(({ verdict }) => verdict.outcome === outcome)
    .slice(-MOST_TOLD)
    .map(({ at, verdict }) =>
      telling.say('record.check', {
        time: momentOf(telling, at),
        reasons: reasonsInWords(beyondCounts(verdict.reasons), telling),
      }),
    )
    .join('; ');
}

/** What the two counts say themselves is not said again, but where there is nothing else. */
export function beyondCounts(reasons: readonly string[]): readonly string[] {
  const more = reasons.filter((reason) => !IN_THE_COUNTS.includes(reason));
  return more.length > 0 ? more : reasons.slice(0, 1);
}

const IN_THE_COUNTS = ['slower-than-other-hand', 'over-limit', 'lag-behind-other-hand', 'over-10-s'];

export function reasonsInWords(reasons: readonly string[], { say, protocol }: Telling): string {
  const word = (reason: string) =>
    protocol.words.has(`record.reason.${reason}`) ? say(`record.reason.${reason}`) : reason;
  return reasons.map(word).join(', ');
}
