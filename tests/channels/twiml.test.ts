// The TwiML answer: whatever a text holds, it comes back out of the XML as it was.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { writeTwiml } from '../../src/channels/sms/twiml.ts';
import { foldForSms } from '../../src/wording/fold.ts';

const STATUS_URL = 'https://palmward.example.org/sms/status';
const ENTITIES: Record<string, string> = { amp: '&', lt: '<', gt: '>', quot: '"', '#13': '\r' };

// oxlint-disable-next-line no-control-regex -- these are what must not be there
const NO_XML = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|\p{Cs}/u;

/** A strict reader of the one form we write: it throws on a bare `<` or `&`, and on what XML 1.0 forbids. */
function readBack(xml: string): { callback: string; body: string }[] {
  const inside = /^<\?xml version="1.0" encoding="UTF-8"\?><Response>(.*)<\/Response>$/s.exec(xml)?.[1];
  if (inside === undefined) throw new Error('no response');
  const messages = [...inside.matchAll(/<Message statusCallback="([^"<]*)">([^<]*)<\/Message>/g)];
  if (messages.map(([all]) => all).join('') !== inside) throw new Error('something between the messages');
  return messages.map(([, callback = '', body = '']) => ({ callback: decode(callback), body: decode(body) }));
}

function decode(text: string): string {
  if (NO_XML.test(text)) throw new Error('not XML');
  // A reader turns a bare carriage return into a line feed.
  return text.replace(/\r\n?/g, '\n').replace(/&([^;]{0,6};?)/g, (all, name: string) => {
    const sign = ENTITIES[name.slice(0, -1)];
    if (sign === undefined) throw new Error(`bare & in ${all}`);
    return sign;
  });
}

test('any text comes back as it was, but for what XML cannot carry at all', () => {
  const sign = fc.oneof(
    fc.constantFrom(
      '<',
      '>',
      '&',
      '"',
      "'",
      ']]>',
      '&amp;',
      '</Message>',
      '<!--',
      '\r',
      '\r\n',
      '\n',
      '\t',
      '\0',
      '\u001b',
      '\ufffe',
      '\ud800',
      '👍',
      'ї',
      '٣',
    ),
    fc.string({ unit: 'binary', maxLength: 3 }),
  );
  const text = fc.array(sign, { maxLength: 30 }).map((signs) => signs.join(''));
  fc.assert(
    fc.property(fc.array(text, { maxLength: 4 }), (texts) => {
      const back = readBack(
        writeTwiml(
          texts.map((one, line) => ({ line, text: one })),
          STATUS_URL,
        ),
      );
      const carried = (one: string) => foldForSms(one).replaceAll(new RegExp(NO_XML, 'gu'), '');
      expect(back.map(({ body }) => body)).toEqual(texts.map(carried));
      expect(back.map(({ callback }) => callback)).toEqual(
        texts.map((_, line) => `${STATUS_URL}?line=${line}#rc=3&rp=ct,rt,5xx`),
      );
    }),
    { numRuns: 500 },
  );
});

test('a text goes out folded to the SMS alphabet', () => {
  expect(writeTwiml([{ line: 7, text: '“Hold it” – más' }], STATUS_URL)).toContain(
    '>&quot;Hold it&quot; - mas</Message>',
  );
});

test('nothing to say is an empty response, which sends nothing', () => {
  expect(readBack(writeTwiml([], STATUS_URL))).toEqual([]);
});
