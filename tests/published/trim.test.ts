// Where a splint ends, held against what is published about it.
import { expect, test } from 'vitest';
import { adult, planOf } from '../clinical/rules-under-test.ts';

const wrist = planOf(adult({ region: 'wrist', broken: 'yes' }));

// Kim et al., Clinics in Orthopedic Surgery 2016;8(2):181, 40 hands: 10 mm short of the palm crease the knuckles bend
// 90 degrees (99 % of free); on the crease 83; 10 mm beyond it 56.
test('the palm end of a wrist splint is 10 mm short of the crease, so that the knuckles bend fully', () => {
  expect(wrist.splint?.to).toBe('palm-10mm-short-of-crease');
  expect(wrist.free).toEqual(expect.arrayContaining(['index.mcp', 'middle.mcp', 'ring.mcp', 'little.mcp']));
});

// Steffa, Splinting instructions, 2003-05: two thirds of the forearm. Colditz, Clinical Pearl 30, 2014, would do with
// less for the wrist alone.
test('a splint past the wrist reaches two thirds up the forearm', () => {
  expect(wrist.splint?.from).toBe('forearm-two-thirds');
});

// Common practice, no source: the edge at the bend of the wrist is flared.
test('the edge at the bend of the wrist is flared', () => {
  expect(wrist.cautions).toContain('flare-the-edge-at-the-wrist');
});

// BMC Musculoskeletal Disorders 2019;20:169 (named in the protocol, not yet read): the wrist may stay free.
test('a gutter for a metacarpal neck ends short of the wrist', () => {
  const neck = planOf(adult({ region: 'hand', digits: ['little'], level: 'metacarpal-neck', broken: 'yes' }));
  expect(neck.splint?.from).toBe('hand-side-of-wrist-crease');
  expect(neck.free).toContain('wrist');
});

// Boyd, Benjamin, Asplund, American Family Physician 2009;80(5):491-499: only the hurt fingers; Emergency War Surgery,
// NATO Handbook, chapter XXXII: the others stay free.
test('a gutter holds the hurt finger and its neighbour and no other', () => {
  const shaft = planOf(
    adult({ region: 'hand', digits: ['index'], level: 'metacarpal-shaft', broken: 'yes' }),
  );
  expect(shaft.splint?.digits).toEqual(['index', 'middle']);
  expect(shaft.free).toEqual(expect.arrayContaining(['ring.mcp', 'little.pip', 'thumb.ip']));
});

// Emergency medicine handbook, p. 293: a scaphoid plaster ends just below the thumb's end joint.
test('a thumb splint ends short of the thumb tip', () => {
  const thumb = planOf(adult({ region: 'thumb', level: 'metacarpal-shaft', broken: 'yes' }));
  expect(thumb.splint?.to).toBe('thumb-short-of-end-joint');
});
