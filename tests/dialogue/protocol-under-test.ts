// Opens the real flows/ and locales/ for the tests of the core, and reads texts as a case would.
import { expect } from 'vitest';
import { openProtocol, type Protocol } from '../../src/care/protocol.ts';
import type { Question } from '../../src/dialogue/flow.ts';
import { understand, type Heard } from '../../src/dialogue/understand.ts';
import { readProtocolFiles, versionOf } from '../../src/protocol-files.ts';

export const FILES = readProtocolFiles();

const opened = openProtocol(FILES, versionOf(FILES));
if (!opened.ok) throw new Error(opened.faults.map((f) => `${f.file}:${f.line}: ${f.message}`).join('\n'));
export const PROTOCOL: Protocol = opened.value;

/** The words understood in a language: those listed, and the labels that the questions print. */
export function heardIn(language: string): Heard {
  const { words } = PROTOCOL;
  return (key) => {
    const label = key.replace(/^heard[.]/, 'ask.');
    const printed = label.startsWith('ask.') && words.has(label) ? [words.say(language, label)] : [];
    return [...words.list(language, key), ...printed];
  };
}

export function questionOf(id: string): Question {
  const question = PROTOCOL.flow.questions.get(id) ?? PROTOCOL.flow.later.get(id);
  if (!question) throw new Error(`No question "${id}"`);
  return question;
}

/** What a text means for a question: the answers without their part's name, or why it was not taken. */
export function read(id: string, text: string, language = 'en'): string[] | string {
  const read = understand(questionOf(id), text, heardIn(language));
  return 'answers' in read ? read.answers.map((key) => key.slice(key.indexOf(':') + 1)) : read.unclear;
}

/** Each text, as an answer to the question, means this. */
export function expectRead(id: string, cases: Record<string, string[] | string>, language = 'en'): void {
  const said = Object.fromEntries(Object.keys(cases).map((text) => [text, read(id, text, language)]));
  expect(said).toEqual(cases);
}
