// Two hurt places at once, for the sign-off sheet: every pair of positions in a table, and in full those pairs whose
// common range is narrower than each place's own, for that is what nobody has seen at a single place.
import type { Protocol } from '../care/protocol.ts';
import { planFor } from '../clinical/plan.ts';
import type { HeldJoint } from '../model.ts';
import { html, type Markup } from '../wording/markup.ts';
import type { PlannedLimb } from './vet.ts';

export interface Pairs {
  /** One plan for each position of a single place, and the rows that it came from. */
  singles: PlannedLimb[];
  /** What each two of them come to; `of[first][second]`. */
  cells: ('same' | 'both' | 'narrowed' | 'conflict')[][];
  /** The narrowed ones, each range once. */
  narrowed: PlannedLimb[];
}

export function pairPlans({ rules }: Protocol, plans: readonly PlannedLimb[]): Pairs {
  const holding = rules.rows.filter(({ effect }) => effect.position.length > 0).map(({ id }) => id);
  const singles = onePerPosition(plans, (id) => holding.includes(id));
  const narrowed = new Map<string, PlannedLimb>();
  const cells = singles.map((one) =>
    singles.map((other) => {
      const limb = { ...one.limb, sites: [...one.limb.sites, ...other.limb.sites] };
      const pair = { limb, plan: planFor(limb, rules) };
      const cell = compare(pair, one, other);
      const key = narrowedKey(pair, one, other);
      if (cell === 'narrowed' && !narrowed.has(key)) narrowed.set(key, pair);
      return cell;
    }),
  );
  return { singles, cells, narrowed: [...narrowed.values()] };
}

/**
 * The first place that comes to a position by one injury alone, plainly told; of fingers, the ring finger stands for all.
 * What two rows of one place come to is a plan of a single place already.
 */
function onePerPosition(plans: readonly PlannedLimb[], holds: (id: string) => boolean): PlannedLimb[] {
  const first = new Map<string, PlannedLimb>();
  for (const single of plans) {
    const { digits } = single.limb.sites[0] ?? {};
    const isSample = !digits || digits.join() === 'ring' || digits.join() === 'thumb';
    const holding = single.plan.injuries.filter((id) => holds(id));
    const key = JSON.stringify(ranges(single));
    if (single.plan.hold === 'as-planned' && isSample && holding.length === 1 && !first.has(key))
      first.set(key, single);
  }
  return [...first.values()];
}

function compare(pair: PlannedLimb, one: PlannedLimb, other: PlannedLimb): Pairs['cells'][number][number] {
  if (pair.plan.hold !== 'as-planned') return 'conflict';
  const all = JSON.stringify(ranges(pair));
  if ([one, other].some((each) => JSON.stringify(ranges(each)) === all)) return 'same';
  return newRanges(pair, one, other).length > 0 ? 'narrowed' : 'both';
}

function narrowedKey(pair: PlannedLimb, one: PlannedLimb, other: PlannedLimb): string {
  return JSON.stringify(newRanges(pair, one, other).map((held) => sayRange(held).replace(/^\w+[.]/, '')));
}

/** Ranges that neither place has by itself. */
function newRanges(pair: PlannedLimb, one: PlannedLimb, other: PlannedLimb): HeldJoint[] {
  const known = new Set([...ranges(one), ...ranges(other)]);
  return pair.plan.position.filter((held) => !known.has(sayRange(held)));
}

function ranges({ plan }: PlannedLimb): string[] {
  return plan.position.map(sayRange);
}

function sayRange({ joint, direction, degrees }: HeldJoint): string {
  return `${joint} ${direction} ${degrees.join(' to ')}`;
}

const MARK = { same: '=', both: '+', narrowed: 'n', conflict: 'X' } as const;

/** The pairs as a table; numbers stand for the positions listed above it. */
export function pairTable({ singles, cells }: Pairs): Markup {
  return html`<ol>
      ${singles.map(({ plan }) => html`<li>${plan.injuries.join(' + ')}: ${plan.position.map(sayRange).join(', ')}</li>`)}
    </ol>
    <p>
      = one position holds both; + both are held beside each other; n narrowed to what both allow; X conflict:
      as it lies, a clinician now.
    </p>
    <table class="pairs">
      <tr>
        <th></th>
        ${singles.map((_, at) => html`<th>${at + 1}</th>`)}
      </tr>
      ${cells.map(
        (row, at) =>
          html`<tr>
            <th>${at + 1}</th>
            ${row.slice(0, at + 1).map((cell) => html`<td>${MARK[cell]}</td>`)}
          </tr>`,
      )}
    </table>`;
}
