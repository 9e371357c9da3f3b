// What is open in a case: what whoever takes over must not take for done.
import type { Case } from '../care/types.ts';
import { momentOf } from './moments.ts';
import { nextCheckOf } from './next-check.ts';
import type { Telling } from './recorded.ts';

/** A check that is being answered: what was told of it is judged by nobody yet. */
export function halfToldCount({ check }: Case): { at: number; hurt: number; other: number | string } | null {
  const refill = check?.told.refill;
  if (!check || refill === undefined) return null;
  return { at: check.since, hurt: refill, other: check.told.otherRefill ?? '?' };
}

function openCheck(telling: Telling): string[] {
  const { say, case: of } = telling;
  if (!of.check) return [];
  const time = momentOf(telling, of.check.since);
  const half = halfToldCount(of);
  if (!half) return [say('record.open.check', { time })];
  return [say('record.open.half-told', { time, hurt: half.hurt, other: half.other })];
}

export function openMatters(telling: Telling): string[] {
  const { say, case: of } = telling;
  if (of.stage === 'ended') return [say('record.open.ended')];
  const time = (at: number) => ({ time: momentOf(telling, at) });
  const next = nextCheckOf(of);
  const { pause: paused } = of.timers;
  const matters = [
    of.call?.state === 'open' ? say('record.open.call') : null,
    ...openCheck(telling),
    of.question ? say('record.open.question', time(of.question.since)) : null,
    next === null ? null : say('record.open.next', time(next)),
    paused === undefined ? null : say('record.open.paused', time(paused)),
    of.plan && of.plan.hold !== 'free' && of.facts['seen'] !== 'seen' ? say('record.open.seen') : null,
  ].filter((matter) => matter !== null);
  return matters.length > 0 ? matters : [say('record.open.nothing')];
}
