// What one case adds to the figures, from its events alone.
import { expect, test } from 'vitest';
import { figuresOfCase, isOver, partsSent, weekOf } from '../../src/care/learn.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { type Bedside, openBedside, WRIST } from './bedside.ts';

const FITTED = ['1 1 1 1', '4', 'DONE', '8'];
const rowOf = (bedside: Bedside) => {
  const of = bedside.case();
  return figuresOfCase(of, bedside.events(of.code), PROTOCOL);
};

test('a wrist whose check loosened, then failed, and whose call was accepted after four minutes', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST, ...FITTED);
  bedside.after('10 min');
  bedside.helper('2.5 2 1 1 2');
  bedside.after('10 min');
  bedside.helper('4 1 1 1 2');
  const { openedAt = 0 } = bedside.case().call ?? {};
  bedside.after('4 min');
  const minutes = Math.floor((bedside.now - openedAt) / 60_000);
  bedside.clinician('ben', '1');
  bedside.clinician('ada', '1');
  const row = rowOf(bedside);
  expect(row).toMatchObject({ language: 'en', ended: 'open', calls: 1, acceptedAfter: [minutes] });
  expect(row.outcomes).toMatchObject({ loosen: 1, failed: 1 });
  expect(row.questions).toBeGreaterThan(3);
});

test('a check that nobody answers is silent, and the helper stopped there', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST, ...FITTED);
  bedside.after('3 h');
  const row = rowOf(bedside);
  expect(row.checks.silent).toBeGreaterThan(0);
  expect(row.stoppedAt).toContain('check');
});

test('a helper who never answers a question is told to have stopped at it', () => {
  const bedside = openBedside();
  bedside.answers('hello', '1');
  const question = bedside.case().question?.id;
  bedside.after('3 d');
  expect(rowOf(bedside)).toMatchObject({ ended: 'went-silent', questions: null, stoppedAt: [question] });
  expect(isOver(bedside.case())).toBe(true);
});

test('a row holds no code, no number and no moment', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST, ...FITTED);
  const told = JSON.stringify(rowOf(bedside));
  expect(told).not.toContain(bedside.case().code);
  expect(told).not.toMatch(/\d{6}/);
});

test('a week begins on Monday, where the case is', () => {
  const monday = Date.UTC(2026, 0, 5);
  expect(weekOf(monday, 0) - weekOf(monday - 1, 0)).toBe(1);
  expect(weekOf(monday - 60_000, 60)).toBe(weekOf(monday, 0));
});

test('parts are of paid wires only, and not known once a text was deleted', () => {
  const text = { direction: 'out', text: 'x'.repeat(161) } as const;
  const sms = { ...text, address: 'sms:+12025550101' };
  expect(partsSent([sms, { ...text, address: 'chat:1' }, { ...sms, direction: 'in' }])).toBe(2);
  expect(partsSent([sms, { ...sms, text: null }])).toBeNull();
});
