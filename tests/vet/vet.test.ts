// The shipped protocol passes; a fault planted in it is found, each by what it would do.
import { beforeAll, describe, expect, test } from 'vitest';
import type { SourceFile } from '../../src/model.ts';
import { vet, type Part, type Report } from '../../src/vet/vet.ts';
import { changed, inRow, opened, SHIPPED } from './protocol-files.ts';

const SLOW = 120_000;

describe('the shipped protocol', () => {
  let report: Report;
  beforeAll(() => {
    report = vet(opened(SHIPPED), SHIPPED);
  }, SLOW);

  test('has no fault', () => {
    expect(report.faults).toEqual([]);
  });

  test('is told with its size: questions, parts in every language, rows that no way leads to, sources', () => {
    const told = report.lines.join('\n');
    expect(told).toMatch(/^version [0-9a-f]{12}, /);
    expect(told).toMatch(/questions to the plan .*: \d+ \/ \d+ \/ \d+/);
    for (const language of ['en', 'es'])
      expect(told).toMatch(
        new RegExp(`${language}: texts of a plan 2 / \\d / \\d, SMS parts of a plan 2 / \\d / \\d`),
      );
    expect(told).toMatch(/the tree leads to \d+ of \d+ rows/);
    expect(told).toMatch(/seen by nobody of this project: .*eaton-thr069/);
  });

  test('leaves no tendon assumed cut tighter than the straight hand', () => {
    const tendons = report.lines.filter((line) => /, assumed cut:/.test(line));
    expect(
      tendons.map((line) => line.trim().split(',')[0]).toSorted((a = '', b = '') => a.localeCompare(b)),
    ).toEqual(['central-slip', 'edc', 'epl', 'fdp', 'fds', 'fpl', 'terminal-slip']);
    for (const line of tendons) expect(Number(/: (-?[\d.]+) to/.exec(line)?.[1])).toBeGreaterThanOrEqual(0);
  });
});

// Planted together where one run of vet finds them all: each must be told by itself.
const HAND = 'flows/hand.yaml';
type Edit = (files: SourceFile[]) => SourceFile[];

describe.each<[string, Part, Edit[], [string, RegExp][]]>([
  [
    'the positions',
    'chance',
    [
      (files) =>
        inRow('cut-extensor-hand', 'extension: [30, 50], aim: 40', 'extension: [20, 30], aim: 25', files),
      (files) => inRow('cut-extensor-hand', 'flexion: [0, 15], aim: 5', 'flexion: [70, 90], aim: 80', files),
      (files) => inRow('compartment', 'call: true', 'call: false', files),
      (files) =>
        inRow(
          'danger',
          'cause: [injection, snake] }',
          'cause: [injection, snake], without: [ring-stuck] }',
          files,
        ),
      (files) =>
        inRow('cut-extensor-end-joint', /position:[\s\S]*fingertips }\n/, 'free: [fingers]\n', files),
    ],
    [
      [
        'the usual safe position for a cut extensor, which pulls its tendon tight',
        /cut-extensor-hand: edc of \w+, assumed cut, is 5[.]\d+ mm tighter/,
      ],
      [
        'a hand left as it lies, and nobody called',
        /compartment: a hand that is left as it lies must bring in a person/,
      ],
      ['a sign that takes urgency away', /a sign more makes the plan less urgent.*ring-stuck/],
      ['a cut finger that no row holds', /cut-extensor-end-joint: a digit assumed cut is left free to move/],
    ],
  ],
  [
    'the tree',
    'tree',
    [
      (files) =>
        changed(files, HAND, /(?<=thumb-cut:[\s\S]*?)level: distal-phalanx/, 'level: proximal-phalanx'),
      (files) =>
        changed(files, HAND, 'site.broken: [unsure] }, go: was-out', "site.broken: ['yes'] }, go: was-out"),
    ],
    [
      [
        'a question whose every answer comes to the same',
        /answer "thumb-cut: choice tip" changes neither way nor plan/,
      ],
      ['a question that no way comes to', /question "was-out" is asked on no way/],
    ],
  ],
  [
    'the words',
    'words',
    [
      (files) =>
        changed(files, 'locales/es/talk.yaml', /^noted: .*$/m, `noted: ${'Anotado y '.repeat(20)}ya.`),
      (files) =>
        changed(
          files,
          'locales/en/ask.yaml',
          /(?<=numb-how-far:\n  text: ).*/,
          `"${'Where is it numb? '.repeat(10)}"`,
        ),
      (files) =>
        inRow('cut-extensor-end-joint', /position:[\s\S]*fingertips }\n/, 'free: [fingers]\n', files),
      (files) => changed(files, HAND, 'raises: [danger.snake, settled]', 'raises: [danger.spider, settled]'),
      (files) => changed(files, 'locales/en/make.yaml', /$/, 'glass: Glass.\n'),
      (files) => changed(files, 'locales/es/make.yaml', /$/, 'glass: Vidrio.\n'),
    ],
    [
      [
        'a text too long for one message, in one language',
        /^es: text "talk.noted" is too long for one message: Anotado/m,
      ],
      ['a question too long for one message', /^en: question "numb-how-far" is too long for one message/m],
      [
        'a plan that asks to move a digit assumed cut',
        /^en: cut-extensor-end-joint.*a digit assumed cut is asked to move .*Move it as far/m,
      ],
      ['a danger that has no words', /^there are no words "talk.danger.spider"$/m],
      ['words that nothing says', /^the words "make.glass" are used nowhere$/m],
    ],
  ],
  [
    'the weight of what nobody knows',
    'places',
    [(files) => inRow('open-break', 'skin: [deep, not-known] }', 'skin: [deep] }', files)],
    [
      [
        'a wound that nobody knows and that counts as none',
        /not knowing the wound makes the plan less urgent/,
      ],
    ],
  ],
])('a fault planted in %s is found:', (_where, part, edits, planted) => {
  let faults: string;
  beforeAll(() => {
    const files = edits.reduce((before, edit) => edit(before), SHIPPED);
    faults = vet(opened(files), files, [part]).faults.join('\n');
  }, SLOW);

  test.each(planted)('%s', (_what, told) => {
    expect(faults).toMatch(told);
  });
});

test('a number without a source is a fault', () => {
  const extra = { path: 'flows/extra.yaml', text: 'waits:\n  long: { span: 3 h }\n' };
  const { faults } = vet(opened(SHIPPED), [...SHIPPED, extra], ['sources']);
  expect(faults).toEqual(['flows/extra.yaml waits.long.span is a number without a source']);
});
