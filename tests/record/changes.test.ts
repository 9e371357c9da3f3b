// What a clinician changed goes along with the person: old and new position and why, the watch, and how the case ended.
import { expect, test } from 'vitest';
import type { CarePlan } from 'fhir/r4.d.ts';
import { bundleOf } from '../../src/record/fhir/bundle.ts';
import { facilityTexts } from '../../src/record/facility-texts.ts';
import { isbarOf } from '../../src/record/isbar.ts';
import { openMatters } from '../../src/record/open-matters.ts';
import { STORIES, telling, WHY } from './stories.ts';

const CORRECTED = 'a wrist that a clinician corrected, with the checks paused';
const rowsOf = (story: string) =>
  Object.fromEntries(isbarOf(telling(STORIES[story]!())).flatMap(({ rows }) => rows)) as Record<
    string,
    string
  >;

test('a correction is told with the position before it, the one after it, and why; never by whose name', () => {
  const { corrected } = rowsOf(CORRECTED);
  expect(corrected).toBe(
    `Jan 5, 11:00, by a clinician: wrist extension 25 to 35°, aim 30°; before: wrist extension 0 to 20°, aim 15°. Why: ${WHY}`,
  );
  expect(JSON.stringify(rowsOf(CORRECTED))).not.toMatch(/ada/i);
});

test('how the watch was changed is told, each with why, and until when it rests', () => {
  expect(rowsOf(CORRECTED)['watch']).toBe(
    'checked more often from Jan 5, 11:00: long way home; checks paused for 6 h from Jan 5, 11:00: they sleep',
  );
  expect(openMatters(telling(STORIES[CORRECTED]!()))).toContain(
    'A clinician paused the circulation checks until Jan 5, 17:00.',
  );
});

test('how a clinician ended the case is told', () => {
  expect(rowsOf('a corrected wrist, ended as healed')['ended']).toBe('by a clinician: healed');
});

test('a case that nobody changed says nothing of changes', () => {
  const rows = rowsOf('a mallet finger of a grown-up');
  for (const row of ['corrected', 'watch', 'ended']) expect(rows).not.toHaveProperty(row);
});

test('the texts to a facility hold the new degrees, and that a clinician set them', () => {
  const all = facilityTexts(telling(STORIES[CORRECTED]!())).join(' ');
  expect(all).toContain('Held wrist ext 30 deg.');
  expect(all).toContain('Position changed by a clinician.');
});

test('the care plan of the document holds the new position, and notes the old one', () => {
  const bundle = bundleOf(telling(STORIES[CORRECTED]!()), () => '00000000-0000-4000-8000-000000000000');
  const plan = bundle.entry?.find(({ resource }) => resource?.resourceType === 'CarePlan')
    ?.resource as CarePlan;
  expect(plan.activity?.[0]?.detail?.description).toContain('25 to 35');
  expect(plan.note?.[0]?.text).toContain('before: wrist extension 0 to 20');
});
