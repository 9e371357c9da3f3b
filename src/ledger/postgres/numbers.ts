// Numbers for new cases: drawn from the database's sequence, and kept in hand until a case takes them.
import type { Run } from './connect.ts';
import type { Loaded, Numbers } from './unit.ts';

/**
 * Every turn is told the number that a new case would get, and hardly any uses it: drawing one a turn would make the
 * numbers, and with them the codes that people type, grow a hundred times faster.
 */
export interface Stock extends Numbers {
  /** Whether the next turn can be told a number. */
  isReady: () => boolean;
  /** Draws what the contacts of a batch that have no open case will need, and one more. */
  fill: (run: Run, loaded: Loaded) => Promise<void>;
}

export function startStock(): Stock {
  const numbers: number[] = [];
  return {
    isReady: () => numbers.length > 0,
    next: () => {
      const [next] = numbers;
      if (next === undefined) throw new Error('no number is in hand');
      return next;
    },
    used: (number) => {
      if (numbers[0] === number) numbers.shift();
    },
    fill: async (run, { mayOpen }) => {
      const missing = mayOpen + 1 - numbers.length;
      if (missing <= 0) return;
      const drawn = await run<{ number: number }>(
        {
          name: 'draw',
          text: `SELECT nextval('case_numbers') AS number FROM generate_series(1, $1::integer)`,
        },
        [missing],
      );
      numbers.push(...drawn.map(({ number }) => number));
    },
  };
}
