// The figures over many cases: they add up, and tell nothing that would single a case out.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Counted, FEWEST, figuresOf, shownOf, TABLES } from '../../src/record/figures.ts';

const aRow = (more: Partial<Counted['figures']> = {}, parts: number | null = 3): Counted => ({
  figures: {
    week: 1,
    language: 'en',
    injuries: ['wrist'],
    ended: 'open',
    questions: 4,
    stoppedAt: [],
    checks: { onTime: 1, late: 0, silent: 0 },
    outcomes: { good: 1, loosen: 0, failed: 0 },
    calls: 1,
    acceptedAfter: [5],
    ...more,
  },
  parts,
});

const word = fc.constantFrom('a', 'b', 'c', 'd');
const rows = fc.array(
  fc
    .record({
      week: fc.integer({ min: 1, max: 4 }),
      ended: word,
      language: word,
      injuries: fc.uniqueArray(word),
      questions: fc.option(fc.integer({ min: 0, max: 5 })),
      stoppedAt: fc.uniqueArray(word),
    })
    .map((more) => aRow(more)),
  { maxLength: 40 },
);
const WEEKS = [1, 2, 3, 4];

test('weeks, endings, questions and languages each add up to all cases', () => {
  fc.assert(
    fc.property(rows, (all) => {
      const { cases, tables } = figuresOf(all, WEEKS);
      for (const name of ['weeks', 'ended', 'questions', 'parts'] as const)
        expect(tables[name].reduce((sum, cell) => sum + cell.cases, 0)).toBe(cases);
    }),
  );
});

test('no count with one or two cases behind it is shown, nor found out from the others and the whole', () => {
  fc.assert(
    fc.property(rows, (all) => {
      const { tables } = figuresOf(all, WEEKS);
      for (const name of TABLES) {
        const shown = shownOf(tables[name]);
        tables[name].forEach(({ cases }, at) => {
          if (typeof shown[at] === 'number') expect(cases === 0 || cases >= FEWEST).toBe(true);
        });
        const hidden = tables[name].filter((_cell, at) => typeof shown[at] !== 'number');
        const others = tables[name].filter(({ cases }, at) => typeof shown[at] === 'number' && cases > 0);
        if (hidden.length > 0 && others.length > 0) {
          expect(hidden.length).toBeGreaterThan(1);
          expect(hidden.reduce((sum, { cases }) => sum + cases, 0)).toBeGreaterThanOrEqual(FEWEST);
        }
      }
    }),
  );
});

test('a call is told by its median from three cases on, by its slowest tenth from ten', () => {
  const of = (count: number) =>
    figuresOf(
      Array.from({ length: count }, (_, at) => aRow({ acceptedAfter: [at + 1] })),
      WEEKS,
    ).accepted;
  expect(of(2)).toEqual({ median: null, ninety: null });
  expect(of(3)).toEqual({ median: 2, ninety: null });
  expect(of(10)).toEqual({ median: 5, ninety: 9 });
});

test('parts nobody counted are left out of the mean, and said to be', () => {
  const { partsPerCase, uncounted } = figuresOf(
    [aRow({}, 2), aRow({}, 4), aRow({}, 6), aRow({}, null)],
    WEEKS,
  );
  expect([partsPerCase, uncounted]).toEqual([[{ language: 'en', cases: 3, mean: 4 }], 1]);
});
