import { describe, test } from 'vitest';
import { expectRead } from './protocol-under-test.ts';

describe('a question that takes all that is true', () => {
  test('takes digits apart, joined by commas or points, and run together', () => {
    const both = ['sticks-out', 'bent'];
    expectRead('danger', {
      '45': both,
      '4 5': both,
      '4,5': both,
      '4.5': both,
      '4, 5': both,
      '4+5': both,
      '4/5': both,
      '4 & 5': both,
      '4 and 5': both,
      '4-5': both,
      '4\n5': both,
      '4️⃣5️⃣': both,
      '٤٥': both,
      '४ ५': both,
      'four five': both,
      '1,4,5': ['bleeding', ...both],
      '4 5 4': both,
    });
  });
  test('takes words, and words beside numbers that say the same', () => {
    expectRead('danger', {
      'the blood will not stop': ['bleeding'],
      'bleeding and white fingers': ['bleeding', 'pale'],
      '1 bleeding': ['bleeding'],
      bledding: ['bleeding'],
      'none of these': ['none'],
      none: ['none'],
      nothing: ['none'],
    });
  });
  test('takes "none" alone only', () => {
    expectRead('danger', {
      '6': ['none'],
      '16': 'not-both',
      '6 and 1': 'not-both',
      'none, bleeding': 'not-both',
    });
  });
  test('asks again where one of the numbers is no answer, so that none is lost', () => {
    expectRead('danger', {
      '1 9': 'no-such-option',
      '17': 'no-such-option',
      '10': 'not-sure-here',
      '1 2 8': 'no-such-option',
    });
  });
  test('asks again where numbers and words speak against each other', () => {
    expectRead('danger', { '2 bleeding': 'unread', '6 bone sticks out': 'unread' });
  });
  test('asks again where a sign is said not to be there', () => {
    expectRead('danger', {
      'no bleeding': 'negated',
      'not blue, not cold': 'negated',
      'it is not bent': 'negated',
    });
    expectRead('danger', { 'no idea': 'not-sure-here', no: ['none'] });
  });
  test('not sure stands alone where it is accepted', () => {
    expectRead('look', {
      '0': ['not-sure'],
      '0 1': 'not-both',
      '7': ['little'],
      '67': 'not-both',
      '16': ['sunken', 'bone'],
    });
  });
});

describe('a question of numbers and letters', () => {
  test('takes them in one text, in any order and spacing', () => {
    const answer = ['wrist', 'finger', 'right'];
    expectRead('where', {
      '2 5 R': answer,
      '25R': answer,
      '25 r': answer,
      'R 25': answer,
      '2, 5, R': answer,
      '2,5 R': answer,
      '2,5,r': answer,
      '２５Ｒ': answer,
      '2 R C': ['wrist', 'right', 'child'],
      '2RC': ['wrist', 'right', 'child'],
      '2 CR': ['wrist', 'right', 'child'],
      '2 l o': ['wrist', 'left', 'older'],
    });
  });
  test('keeps the order in which places were told', () => {
    expectRead('where', { '5 2 R': ['finger', 'wrist', 'right'], 'finger and wrist': ['finger', 'wrist'] });
  });
  test('takes words for the letters, and lets a letter be left out', () => {
    expectRead('where', {
      '2': ['wrist'],
      wrist: ['wrist'],
      'right wrist': ['wrist', 'right'],
      'left thumb of a child': ['thumb', 'left', 'child'],
      '2 right': ['wrist', 'right'],
      'wrist R': ['wrist', 'right'],
    });
    expectRead('which', {
      '3': ['middle'],
      '3 C': ['middle', 'middle-joint'],
      '3c': ['middle', 'middle-joint'],
    });
    expectRead('which', { 'middle finger, middle joint': ['middle', 'middle-joint'] });
  });
  test('little words of a sentence are no letters', () => {
    expectRead('where', { 'wrist or hand': ['wrist', 'hand'], 'it is a wrist': ['wrist'] });
    expectRead('hand-bone', { 'it is a little finger': ['little'] });
    expectRead('where', { 'muñeca o mano': ['wrist', 'hand'], 'la mano de mi hijo': ['hand'] }, 'es');
    expectRead('which', { 'el índice de la mano': ['index'] }, 'es');
  });
  test('a side must be spelt right, or it is asked for', () => {
    expectRead('where', { 'rigth wrist': ['wrist'], 'wrist lefft': ['wrist'] });
  });
  test('asks for the number where only a letter came', () => {
    expectRead('where', { R: 'part-missing', left: 'part-missing', RC: 'part-missing' });
    expectRead('which', { C: 'part-missing' });
  });
  test('asks again where letters contradict each other', () => {
    expectRead('where', { '2 L R': 'one-only', '2 LR': 'one-only', 'left and right wrist': 'one-only' });
    expectRead('cut-side', {
      '12': 'one-only',
      '1 D': ['palm', 'dull'],
      '1D': ['palm', 'dull'],
      '0 D': ['not-sure', 'dull'],
    });
  });
  test('asks again for a letter that is none of the answers', () => {
    expectRead('where', { '7 R': 'no-such-option', '0': 'not-sure-here' });
    expectRead('which', { '1 C': 'no-such-option', '6': 'no-such-option', '0': ['not-sure'] });
  });
});
