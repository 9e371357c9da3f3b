// Turns the rows as written into rows that are quick to weigh: signed degrees, and conditions as sets.
import { bitsAllowed } from './condition-bits.ts';
import { secondsIn } from './compile-watch.ts';
import type { Condition, Effect, Hold, Row, SeenRule } from './rule-types.ts';
import type { RowShape } from './rule-shapes.ts';

type WrittenEffect = RowShape['also'][number];
type WrittenHold = RowShape['position'][number];
type WrittenCondition = WrittenEffect['when'][number];

/** Compiles rows that were already found sound. */
export function compileRows(rows: readonly RowShape[]): Row[] {
  return rows.map((row, at) => ({
    id: row.id,
    at,
    row: row.row,
    source: row.source,
    when: (row.when ?? []).map(condition),
    otherwise: row.otherwise ?? false,
    digits: row.digits,
    replaces: row.replaces,
    effect: effect({ ...row, when: [] }),
    also: row.also.map((part, nth) => ({
      at: (nth + 1) / 100,
      when: part.when.map(condition),
      effect: effect(part),
    })),
  }));
}

function effect(written: WrittenEffect): Effect {
  const { stays, hold, free, splints, cut, tendons, urgency, call, calendar, cautions } = written;
  return {
    seen: written.seen.map(seenRule),
    stays,
    tolerates: written.tolerates.map(({ digits, degrees, source }) => ({ digits, degrees, source })),
    hold,
    position: written.position.map(signed),
    free,
    splints,
    cut,
    tendons,
    urgency,
    call,
    calendar,
    cautions,
  };
}

function seenRule({ within, digits, unlessBetter, source }: WrittenEffect['seen'][number]): SeenRule {
  return { hours: secondsIn(within) / 3600, digits, unlessBetter: unlessBetter ?? false, source };
}

/** Flexion and abduction count upwards, extension downwards, so that intervals of one joint can be compared. */
export function signed({ joint, flexion, extension, abduction, aim, source }: WrittenHold): Hold {
  const [lo, hi] = flexion ?? abduction ?? [0, 0];
  if (!extension) return { joint, lo, hi, aim, source };
  return { joint, lo: 0 - extension[1], hi: 0 - extension[0], aim: 0 - aim, source };
}

function condition({ signs, without, ...named }: WrittenCondition): Condition {
  return { allowed: bitsAllowed(named), signs, without };
}
