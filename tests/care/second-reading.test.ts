// What a therapist's second reading asked for: each a way in which advice could have gone wrong.
import { expect, test } from 'vitest';
import { openBedside } from './bedside.ts';

const START = ['hello', '1', '6', '6'];

test('a hot, infected hand is neither taped straight nor told to move: it lies, and is seen today', () => {
  const bedside = openBedside();
  bedside.answers(...START, '6', '2');
  expect(bedside.helper('5 R').join('\n')).toMatch(/Do not splint tight or squeeze it/);
  expect(bedside.case().plan).toMatchObject({ hold: 'as-it-lies', urgency: 'today', call: true });
});

test('fever or a red streak makes it now', () => {
  const bedside = openBedside();
  bedside.answers(...START, '6', '1', '5 R');
  expect(bedside.case()).toMatchObject({
    plan: { hold: 'as-it-lies', urgency: 'now' },
    call: { urgency: 'now' },
  });
});

test('a deep cut on the pad of a fingertip is dressed, and not set moving', () => {
  const bedside = openBedside();
  bedside.answers(...START, '3', '5 R', '1', '2');
  bedside.helper('3 F');
  const told = bedside.helper('2').join('\n');
  expect(told).toMatch(/Do not bend, grip or test that finger/);
  expect(told).not.toMatch(/Move it/);
});

test('a joint that was out is splinted on the nail side, in the plan itself', () => {
  const bedside = openBedside();
  bedside.answers(...START, '1', '5 R', '3 C', '5', '1', '2 1 1 1');
  expect(bedside.helper('4').join('\n')).toMatch(/2\/3 .*NAIL side of middle finger/s);
});

test('a hanging thumb tip is held straight, never round a glass', () => {
  const bedside = openBedside();
  bedside.answers(...START, '1', '4 R', '5', '2 1 1 1', '4');
  const told = bedside.helper('PLAN').join('\n');
  expect(told).toMatch(/End joint of the thumb straight or a hair back/);
  expect(told).toMatch(/from its tip over the end joint/);
  expect(told).not.toMatch(/glass/);
});

test('where three texts leave out a finger splint, it is said in one more, and somebody is called', () => {
  const bedside = openBedside();
  bedside.answers(...START, '1', '2 5 R', '1', '4 F', '1', '2 1 1 1');
  expect(bedside.helper('1').join('\n')).toMatch(/Splint ring finger from the tip/);
  expect(bedside.case().call).not.toBeNull();
});

test('DONE ends the question about the size; a finger splint is measured against the other hand', () => {
  const bedside = openBedside();
  bedside.answers(...START, '1', '2 R', '1', '2 1 1 1', '1', 'SIZE');
  expect(bedside.helper('DONE').join()).toMatch(/^Splint: text ALL wrong/);
  const small = openBedside();
  small.answers(...START, '1', '5 R', '4 E', '2', '2 1 1 1', '1');
  expect(small.helper('SIZE').join()).toMatch(/same finger of the other hand/);
});

test('with nothing to splint with the limb rests, and no splint is looked at', () => {
  const bedside = openBedside();
  bedside.answers(...START, '1', '2 R', '1', '2 1 1 1');
  const told = bedside.helper('6').join('\n');
  expect(told).toMatch(/pillow/);
  expect(told).not.toMatch(/Flat straps/);
  expect(bedside.helper('DONE').join()).toMatch(/^Check\./);
});
