// A case that is remembered is never another one than the row that was just read.
import { expect, test } from 'vitest';
import { keptState } from '../../src/ledger/kept-state.ts';
import { rememberCases } from '../../src/ledger/sqlite/read-cases.ts';
import { aCase } from './builders.ts';

const ADDRESS = 'sms:+12025550101';
const written = aCase(1, ADDRESS);
const row = { code: written.code, state: keptState(written) };

test('a case is put together once, and is the one that was written', () => {
  const cases = rememberCases();
  cases.wrote(written, row.state);
  expect(cases.read(row, ADDRESS)).toBe(written);
  const others = rememberCases();
  const first = others.read(row, ADDRESS);
  expect(first).toEqual(written);
  expect(others.read(row, ADDRESS)).toBe(first);
});

test('what another process made of it, or an undoing brought back, is what counts', () => {
  const cases = rememberCases();
  cases.wrote({ ...written, stage: 'ended' }, keptState({ ...written, stage: 'ended' }));
  expect(cases.read(row, ADDRESS).stage).toBe(written.stage);
});

test('once its helper is forgotten, no number comes back with it', () => {
  const cases = rememberCases();
  cases.wrote(written, row.state);
  expect(cases.read(row, '').contact).toBe('');
});
