// The scripts as they are served: whole, plain, and in the language of 2015.
import ts from 'typescript';
import { expect, test } from 'vitest';
import { CHAT_SCRIPT, PHONE_SCRIPT } from '../../src/channels/script/served.ts';

const written = (script: string, target: ts.ScriptTarget): string =>
  ts.transpileModule(script, { compilerOptions: { target, module: ts.ModuleKind.None } }).outputText;

const isOf2015 = (script: string): boolean =>
  written(script, ts.ScriptTarget.ES2015) === written(script, ts.ScriptTarget.ESNext);

test.each([
  ['chat', CHAT_SCRIPT],
  ['phone', PHONE_SCRIPT],
])('the %s’s script has no word of the language that is younger than 2015', (_, script) => {
  expect(isOf2015(script)).toBe(true);
});

test.each(['a?.b;', 'a ?? b;', 'async () => 1;', 'try {} catch {}', '({ ...a });', 'a ** b;'])(
  'that would be seen: %s',
  (younger) => expect(isOf2015(CHAT_SCRIPT + younger)).toBe(false),
);

test.each([
  ['chat', CHAT_SCRIPT],
  ['phone', PHONE_SCRIPT],
])('the %s’s script asks the page for nothing that browsers of 2016 lack', (_, script) => {
  expect(script).not.toMatch(
    /\.(replaceWith|append|prepend|before|after|replaceAll|matchAll|flatMap|flat|at|submitter|entries|values|includes|finally)\(/,
  );
});

test('the phone’s script carries nothing of the watch', () => {
  expect(PHONE_SCRIPT.length).toBeLessThan(CHAT_SCRIPT.length - 2000);
  expect(PHONE_SCRIPT).not.toMatch(/oscillator|Notification/i);
});
