// Findings from outside: read strictly, and every slip told in one line.
import { expect, test } from 'vitest';
import { readFindings } from '../../src/clinical/findings.ts';
import { RULES } from './rules-under-test.ts';

const read = (json: unknown) => readFindings(json, RULES.signs);
const reasonOf = (json: unknown) => {
  const outcome = read(json);
  return outcome.ok ? 'read' : outcome.reason;
};
const site = { region: 'hand' };

test('findings with everything told are read as they are', () => {
  const findings = {
    side: 'left',
    age: 'adult',
    sex: 'female',
    hours: 2,
    material: 'household',
    notKnown: ['hours'],
    sites: [
      {
        region: 'finger',
        digits: ['ring'],
        level: 'dip-joint',
        broken: 'unsure',
        wound: 'none',
        face: 'dorsal',
        cause: 'jammed',
        signs: ['fingertip-droops'],
        notKnown: ['cause'],
      },
    ],
  };
  expect(read(findings)).toEqual({ ok: true, value: findings });
});

test('a site with nothing but its region is enough', () => {
  expect(read({ sites: [site] }).ok).toBe(true);
});

test.each([
  ['an unknown field', { sites: [site], wond: 'deep' }, 'unknown field "wond"'],
  [
    'an unknown field of a site',
    { sites: [{ ...site, wond: 'deep' }] },
    'unknown field "wond" in sites[0]; did you mean "wound"?',
  ],
  [
    'an unknown sign',
    { sites: [{ ...site, signs: ['nail-tils'] }] },
    'sites[0].signs[0] cannot be "nail-tils"; did you mean "nail-tilts"?',
  ],
  [
    'an unknown region',
    { sites: [{ region: 'elbow' }] },
    'sites[0].region cannot be "elbow" (allowed: forearm, wrist, hand, thumb, finger)',
  ],
  ['a missing region', { sites: [{}] }, 'sites[0].region is missing'],
  ['no sites', {}, 'sites is missing'],
  ['no place', { sites: [] }, 'sites: at least one hurt place is needed'],
  [
    'eleven places',
    { sites: Array.from({ length: 11 }, () => site) },
    'sites: at most 10 hurt places can be weighed together',
  ],
  [
    'a thumb among the fingers',
    { sites: [{ region: 'finger', digits: ['thumb'] }] },
    'sites[0].digits: the thumb is no finger here; use the region "thumb"',
  ],
  [
    'a finger at the thumb',
    { sites: [{ region: 'thumb', digits: ['index'] }] },
    'sites[0].digits: "index" is no part of the region "thumb"',
  ],
  [
    'hours before the injury',
    { sites: [site], hours: -1 },
    'hours: must be 0 to 87600 hours since the injury',
  ],
  [
    'hours beyond ten years',
    { sites: [site], hours: 90_000 },
    'hours: must be 0 to 87600 hours since the injury',
  ],
  [
    'notKnown of no field',
    { sites: [{ ...site, notKnown: ['lavel'] }] },
    'sites[0].notKnown[0] cannot be "lavel"; did you mean "level"?',
  ],
  [
    'a limb field not known at a site',
    { sites: [{ ...site, notKnown: ['age'] }] },
    'sites[0].notKnown[0] cannot be "age" (allowed: digits, level, broken, wound, face, cause, signs)',
  ],
  [
    'a region not known',
    { sites: [{ ...site, notKnown: ['region'] }] },
    'sites[0].notKnown[0] cannot be "region" (allowed: digits, level, broken, wound, face, cause, signs)',
  ],
])('%s is an error that says so', (_, json, reason) => {
  expect(reasonOf(json)).toContain(reason);
});

test.each([[null], [5], ['hand'], [[]]])('%j is no findings', (json) => {
  const outcome = read(json);
  expect(outcome.ok).toBe(false);
  expect(reasonOf(json).split('\n')).toHaveLength(1);
});
