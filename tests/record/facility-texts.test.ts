// The handover as texts to a facility: three at most, in ISBAR's order, what is needed never left out.
import { expect, test } from 'vitest';
import { sayRecords } from '../../src/vet/say-records.ts';
import { facilityTexts } from '../../src/record/facility-texts.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { planFor } from '../../src/clinical/plan.ts';
import { changed, opened, SHIPPED } from '../vet/protocol-files.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { STORIES, telling } from './stories.ts';

const WRIST_STORY = 'a wrist with a failed check, after one that loosened';

test.each(Object.keys(STORIES))('%s: one to three texts, each one part of the SMS alphabet', (name) => {
  for (const language of PROTOCOL.words.languages) {
    const texts = facilityTexts(telling(STORIES[name]!(), language));
    expect(texts.length).toBeGreaterThan(0);
    expect(texts.length).toBeLessThanOrEqual(3);
    for (const text of texts) expect(measure(foldForSms(text))).toMatchObject({ encoding: 'gsm7', parts: 1 });
  }
});

test('the sections come in order, and each text says which it begins with', () => {
  const texts = facilityTexts(telling(STORIES[WRIST_STORY]!()));
  const letters = [...texts.join(' ').matchAll(/\b([ISBAR]): /g)].map(([, letter]) => letter);
  expect(letters.join('')).toMatch(/^I+S+B+A+R+$/);
  for (const text of texts) expect(text).toMatch(/^\d\/\d [ISBAR]: /);
});

test('the failed check, the place, the urgency and the degrees are told, and that it is no diagnosis', () => {
  const all = facilityTexts(telling(STORIES[WRIST_STORY]!())).join(' ');
  for (const told of [
    `B2B2 Palmward first aid, protocol ${PROTOCOL.version} unsigned. No diagnosis: you decide.`,
    'right wrist: maybe broken wrist.',
    'Urgent NOW.',
    'Refill 4/1 s Jan 5, 11:20: FAILED.',
    'Held wrist ext 15 deg.',
  ])
    expect(all).toContain(told);
});

test('a count that is told and not judged is told as such', () => {
  const bedside = STORIES[WRIST_STORY]!();
  bedside.after('2 h');
  bedside.helper('5 1 1 2 3');
  const { check } = bedside.case();
  expect(check?.told.refill).toBe(5);
  expect(facilityTexts(telling(bedside)).join(' ')).toMatch(/Told .*, not judged: 5\/1 s\./);
});

test('an open break is told with its antibiotic, a conflict as it lies', () => {
  expect(facilityTexts(telling(STORIES['an open break of a finger']!())).join(' ')).toContain(
    'Antibiotic early.',
  );
  expect(facilityTexts(telling(STORIES['places that ask for opposite positions']!())).join(' ')).toContain(
    'As it lies: opposite positions needed.',
  );
});

test('vet tells of words that make a handover too long, or leave the SMS alphabet', () => {
  const limb = {
    side: 'left' as const,
    age: 'adult' as const,
    sites: [{ region: 'wrist' as const, wound: 'none' as const }],
  };
  const told = (from: string, to: string) => {
    const protocol = opened(changed(SHIPPED, 'locales/en/record.yaml', from, to));
    const plan = planFor(limb, protocol.rules);
    return sayRecords([{ limb, plan }], protocol, 'en').faults.join('\n');
  };
  expect(told('Held {{joints}}', 'Kept {{joints}}')).toBe('');
  expect(told('Held {{joints}}', `${'Held '.repeat(28)}{{joints}}`)).toMatch(
    /takes 4 texts|longer than one message/,
  );
  expect(told('Held {{joints}}', 'Held ☝ {{joints}}')).toContain('has a sign outside the SMS alphabet');
  expect(told("{{direction}} {{degrees}} deg.'", "{{direction}}, {{degrees}}0 deg.'")).toContain(
    'leaves out the degrees of wrist',
  );
});
