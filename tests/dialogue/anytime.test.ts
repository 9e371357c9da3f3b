import { describe, expect, test } from 'vitest';
import { ANYTIME_WORDS, anytimeWord, carrierWord, leadingCode } from '../../src/dialogue/anytime.ts';
import { heardIn, PROTOCOL } from './protocol-under-test.ts';

const word = (text: string, language = 'en') => anytimeWord(text, heardIn(language));

describe('words that work at any time', () => {
  test('each works in capitals, small, and with a mark behind it, in every language', () => {
    for (const language of PROTOCOL.words.languages)
      for (const each of ANYTIME_WORDS)
        for (const spelt of PROTOCOL.words.list(language, `heard.words.${each}`))
          expect(
            [spelt, spelt.toUpperCase(), ` ${spelt}. `, `${spelt}!`].map((text) => word(text, language)),
          ).toEqual(Array(4).fill(each));
  });
  test('the English words work in every language, as the texts tell them', () => {
    for (const language of PROTOCOL.words.languages)
      expect(ANYTIME_WORDS.filter((each) => word(each, language) !== each)).toEqual([]);
  });
  test('within a sentence they are no such word', () => {
    expect(
      ['I care', 'it is worse now', 'back of the hand', 'new cut', 'not done', 'do it again'].map((t) =>
        word(t),
      ),
    ).toEqual(Array(6).fill(null));
  });
  test('a near miss of one is none, since each of them does something', () => {
    expect(
      ['forgot', 'forgets', 'wore', 'worst', 'stick', 'carer', 'backs'].map((text) => word(text)),
    ).toEqual(Array(7).fill(null));
  });
});

describe("the carriers' words", () => {
  test('mean out, in or help when they are the whole text', () => {
    expect(
      ['STOP', 'stop', ' Stop ', 'STOPALL', 'UNSUBSCRIBE', 'cancel', 'END', 'Quit'].map(carrierWord),
    ).toEqual(Array(8).fill('out'));
    expect(['START', 'unstop'].map(carrierWord)).toEqual(['in', 'in']);
    expect(['HELP', 'info'].map(carrierWord)).toEqual(['help', 'help']);
  });
  test('mean nothing inside a sentence', () => {
    const texts = [
      'the blood will not stop',
      'stop it',
      'help me',
      'end joint',
      'please cancel',
      'start at the wrist',
      '',
      'stopp',
    ];
    expect(texts.map(carrierWord)).toEqual(Array(8).fill(null));
  });
});

describe('a code in front of a text', () => {
  const codes = ['B7K3', 'BB2C3'];
  test('is read in any case and with any mark behind it', () => {
    for (const text of [
      'B7K3 2 1',
      'b7k3 2 1',
      'B7K3: 2 1',
      '  b7k3, 2 1',
      'B7K3. 2 1',
      'B7K3-2 1',
      'B7K3\n2 1',
    ])
      expect(leadingCode(text, codes)).toEqual({ code: 'B7K3', rest: '2 1' });
    expect(leadingCode('bb2c3 done', codes)).toEqual({ code: 'BB2C3', rest: 'done' });
    expect(leadingCode('B7K3', codes)).toEqual({ code: 'B7K3', rest: '' });
  });
  test('counts only in front, whole, and when it is one of these', () => {
    for (const text of ['1 B7K3', 'B7K31 2', 'B7K', 'C7K3 2', 'done', '', '2 1 1 1'])
      expect(leadingCode(text, codes)).toBeNull();
  });
});
