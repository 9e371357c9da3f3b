// Faults that a keeper makes in the question tree: each is told by file and line, with what was probably meant.
import { describe, expect, test } from 'vitest';
import type { Fault } from '../../src/model.ts';
import { readFlow } from '../../src/dialogue/read-flow.ts';
import { FILES, PROTOCOL } from './protocol-under-test.ts';

const PATH = 'flows/hand.yaml';
const TREE = FILES.find(({ path }) => path === PATH)?.text ?? '';

function faultsIn(text: string): Fault[] {
  const read = readFlow([{ path: PATH, text }], PROTOCOL.rules.signs);
  return read.ok ? [] : read.faults;
}

/** The faults after one piece of the real tree was replaced, and the line it stood on. */
function after(piece: string, other: string): { faults: Fault[]; line: number } {
  const at = TREE.indexOf(piece);
  if (at < 0) throw new Error(`The tree has no "${piece}"`);
  return { faults: faultsIn(TREE.replace(piece, other)), line: TREE.slice(0, at).split('\n').length };
}

function expectFault(piece: string, other: string, said: RegExp, lineOff = 0): void {
  const { faults, line } = after(piece, other);
  expect(faults.map(({ message }) => message).join('\n')).toMatch(said);
  expect(
    faults.filter(({ message }) => said.test(message)).map(({ file, line }) => `${file}:${line}`),
  ).toContain(`${PATH}:${line + lineOff}`);
}

describe('the real tree', () => {
  test('has no fault', () => {
    expect(faultsIn(TREE)).toEqual([]);
  });
  test('begins with a question and has one end', () => {
    expect(PROTOCOL.flow.questions.has(PROTOCOL.flow.start)).toBe(true);
    expect(PROTOCOL.flow.branches.get(PROTOCOL.flow.end)).toEqual([]);
  });
});

describe('a fault in the tree', () => {
  test('a branch to a state that does not exist says which was probably meant', () => {
    expectFault(
      '{ go: danger-more }',
      '{ go: danger-mor }',
      /leads to "danger-mor", which does not exist; did you mean "danger-more"\?/,
    );
  });
  test('a state far from every name gets no guess', () => {
    expectFault(
      '{ go: danger-more }',
      '{ go: elsewhere-entirely }',
      /"elsewhere-entirely", which does not exist$/m,
    );
  });
  test('a start that does not exist is told', () => {
    expectFault('start: safe', 'start: sefe', /"sefe", which does not exist; did you mean "safe"\?/);
  });
  test('an unknown sign says which was probably meant', () => {
    const { faults } = after('signs: [tense-swelling]', 'signs: [tense-sweling]');
    expect(faults).toMatchObject([
      { file: PATH, message: expect.stringMatching(/did you mean "tense-swelling"\?/) },
    ]);
  });
  test('a state that nothing leads to is told', () => {
    expectFault('  numb-how-far:', '  numb-how-fur:', /nothing leads to state "numb-how-fur"/);
  });
  test('a state that leads nowhere is told', () => {
    const { faults } = after('  done:\n    end: true', '  done:\n    end: false');
    expect(faults.map(({ message }) => message).join('\n')).toMatch(/state "done" leads nowhere/);
  });
  test('two ends are told', () => {
    const { faults } = after('  done:\n    end: true', '  done:\n    end: true\n  other:\n    end: true');
    expect(faults.map(({ message }) => message)).toContain('exactly one state must be the end');
  });
  test('a last branch that might not hold is told', () => {
    const { faults } = after(
      '      - { go: danger-more }',
      '      - { when: { waiting: true }, go: danger-more }',
    );
    expect(faults.map(({ message }) => message).join('\n')).toMatch(
      /the last branch of "danger" must hold always/,
    );
  });
  test('two answers of one number are told, in parts as well', () => {
    expectFault(
      '{ n: 2, id: not-well',
      '{ n: 1, id: not-well',
      /the answers of "safe" need one number each/,
      -2,
    );
    const { faults } = after('{ n: 2, id: wrist, sets', '{ n: 1, id: wrist, sets');
    expect(faults.map(({ message }) => message).join('\n')).toMatch(
      /the answers of "where" need one number each/,
    );
  });
  test('an answer that a branch asks for and the question does not have is told', () => {
    const { faults } = after('answer: [no-feeling]', 'answer: [no-felling]');
    expect(faults.map(({ message }) => message).join('\n')).toMatch(
      /"no-felling".*did you mean "no-feeling"\?/,
    );
  });
  test('a raised key that no answer raises is told', () => {
    const { faults } = after(
      '{ when: { raised: [settled] }, go: where }',
      '{ when: { raised: [setled] }, go: where }',
    );
    expect(faults.map(({ message }) => message).join('\n')).toMatch(/"setled".*did you mean "settled"\?/);
  });
  test('silent states that lead to each other without a question are told', () => {
    const circle = '      - { when: { waiting: true }, go: place }';
    const { faults } = after('  place:\n    next:\n', `  place:\n    next:\n${circle}\n`);
    expect(faults.map(({ message }) => message).join('\n')).toMatch(/"place".*without a question/);
  });
  test('a field that does not exist is told by its line', () => {
    expectFault(
      '    choose: one\n    answers:\n      - { n: 1, id: well }',
      '    chose: one\n    answers:\n      - { n: 1, id: well }',
      /chose/,
      -1,
    );
  });
  test('a value that cannot be is told by its line', () => {
    expectFault('sets: { site: { cause: snake } }', 'sets: { site: { cause: snakes } }', /cause/);
  });
  test('what is no YAML is told by its line', () => {
    expectFault('start: safe', 'start: [safe', /./, 2);
  });
  test('an empty and a missing file are told', () => {
    expect(faultsIn('')).not.toEqual([]);
    expect(readFlow([], [])).toMatchObject({ ok: false, faults: [{ file: PATH, line: 1 }] });
  });
});
