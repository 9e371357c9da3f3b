// A web chat is reached only while its page is open: the helper and the clinician are told so, once it matters.
import { describe, expect, test } from 'vitest';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { CUT_FINGER, openBedside, opening, textsTo, WRIST, type Bedside } from './bedside.ts';

const CHAT = 'chat:0123456789abcdef01234567';
const NOTE = opening('talk.page-only');

function chat(...texts: string[]): { bedside: Bedside; notes: () => string[] } {
  const bedside = openBedside();
  for (const text of texts) bedside.text(CHAT, text);
  const told = () => bedside.sent.filter(({ address }) => address === CHAT).map(({ text }) => text);
  return { bedside, notes: () => told().filter((text) => text.includes(NOTE)) };
}

describe('the helper', () => {
  test('is not told while the questions run', () => {
    expect(chat(...WRIST).notes()).toEqual([]);
  });
  test('is told once when the watch begins, before what is asked', () => {
    const { bedside, notes } = chat(...WRIST, '1 1 1 1', '4', 'DONE', '8');
    expect(bedside.case().stage).toBe('watching');
    expect(notes()).toHaveLength(1);
    expect(bedside.sent.at(-1)?.key).toBe('check.ask');
    for (const text of ['1 1 1 1 2', 'CARE', 'PLAN']) bedside.text(CHAT, text);
    expect(notes()).toHaveLength(1);
  });
  test('is told once when a call opens first, after what to do about the danger', () => {
    const { bedside, notes } = chat('hello', '1', '1');
    expect(bedside.case().call?.state).toBe('open');
    expect(notes()).toHaveLength(1);
    const texts = bedside.sent.filter(({ address }) => address === CHAT).map(({ text }) => text);
    expect(texts.findIndex((text) => /bleed|press/i.test(text))).toBeLessThan(
      texts.findIndex((text) => text.includes(NOTE)),
    );
  });
  test('by SMS is never told: a phone is reached', () => {
    const bedside = openBedside();
    bedside.answers(...CUT_FINGER, '1 1 1 1', 'CARE');
    expect(textsTo('helper', bedside.sent).join()).not.toContain(NOTE);
  });
});

describe('the clinician', () => {
  test('reads it in the text that rings, still one SMS, with the code and how to answer', () => {
    const { bedside } = chat(...CUT_FINGER);
    const ring = textsTo('ada', bedside.sent).find((text) => /1 accept/.test(text)) ?? '';
    expect(ring).toMatch(
      /^[A-Z]\d[A-Z]\d .*, web chat, reached only while its page is open\..*Reply 1 accept, 2 pass on$/,
    );
    expect(measure(foldForSms(ring)).parts).toBe(1);
  });
  test('does not read it of a phone', () => {
    const bedside = openBedside();
    bedside.answers(...CUT_FINGER);
    expect(textsTo('ada', bedside.sent).join()).not.toContain('web chat');
  });
});
