// The answer that stands in for us while we are down: TwiML that the gateway takes, one SMS a text.
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';

const file = readFileSync(new URL('../../deploy/fallback.xml', import.meta.url), 'utf8');
const [head = '', ...rest] = file.split(/<!--[\s\S]*?-->/);
const body = rest.join('');
const texts = [...body.matchAll(/<Message>([^<]*)<\/Message>/g)].map(([, text]) => text ?? '');

test('it is XML with a response of plain messages, and nothing else', () => {
  expect(head.trim()).toBe('<?xml version="1.0" encoding="UTF-8"?>');
  // Stricter than XML: no attributes, no entities, no other verbs; and a comment may hold no "--".
  expect(body.trim()).toMatch(/^<Response>(\s*<Message>[^<>&]+<\/Message>)+\s*<\/Response>$/);
  for (const [, comment] of file.matchAll(/<!--([\s\S]*?)-->/g)) expect(comment).not.toContain('--');
});

test('each text says what it needs in one part of the GSM alphabet', () => {
  expect(texts).toHaveLength(4);
  for (const text of texts) {
    const { encoding, parts } = measure(foldForSms(text));
    expect([text, encoding, parts]).toEqual([text, 'gsm7', 1]);
  }
  expect(texts[0]).toMatch(/down.*go to emergency care now/);
  expect(texts[1]).toMatch(/open all straps/);
});

test('sent as they stand, by a gateway that folds nothing, they are one part too', () => {
  for (const text of texts) expect([text, measure(text).parts]).toEqual([text, 1]);
});

test('it says how the webhook asks again before it falls back', () => {
  expect(file).toContain('#rc=3&rp=ct,rt,5xx');
});
