// The FHIR document of each story: valid by two validators and by what both miss; and each of them refuses a broken one.
import { createHash } from 'node:crypto';
import type {
  Bundle,
  Composition,
  Condition,
  FhirResource,
  Observation,
  Patient,
  QuestionnaireResponse,
} from 'fhir/r4.d.ts';
import { describe, expect, test } from 'vitest';
import { bundleOf } from '../../src/record/fhir/bundle.ts';
import { tellIn } from '../../src/record/tell.ts';
import { openBedside, WRIST } from '../care/bedside.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { recordOf, STORIES, telling } from './stories.ts';
import { documentShape, faultsBySchema, faultsByStructure } from './validators.ts';

/** UUIDs in order: nothing by chance. */
function ids(): () => string {
  let count = 0;
  return () => {
    const hex = createHash('sha256')
      .update(String((count += 1)))
      .digest('hex');
    return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-4${hex.slice(13, 16)}-8${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
  };
}

function written(name: string, language = 'en'): Bundle {
  const bundle = bundleOf(telling(STORIES[name]!(), language), ids());
  return JSON.parse(JSON.stringify(bundle)) as Bundle;
}

function ofType<T extends FhirResource>(bundle: Bundle, type: T['resourceType']): T[] {
  return (bundle.entry ?? []).flatMap(({ resource }) =>
    resource?.resourceType === type ? [resource as T] : [],
  );
}

const WRIST_STORY = 'a wrist with a failed check, after one that loosened';

describe.each(Object.keys(STORIES))('%s', (name) => {
  test.each(['en', 'es'])('is a valid document in %s', (language) => {
    const bundle = written(name, language);
    expect(faultsBySchema(bundle)).toEqual([]);
    expect(faultsByStructure(bundle)).toEqual([]);
    expect(documentShape.safeParse(bundle).error?.issues ?? []).toEqual([]);
  });

  test('holds all that a handover needs, and no number, name or address', () => {
    const bundle = written(name);
    for (const type of ['Patient', 'CarePlan', 'Communication', 'QuestionnaireResponse'] as const)
      expect([type, ofType(bundle, type).length > 0]).toEqual([type, true]);
    const composition = bundle.entry?.[0]?.resource as Composition;
    expect(composition.author[0]?.reference).toMatch(/^urn:uuid:/);
    expect(composition.section?.map(({ title }) => title)).toEqual([
      'Identify',
      'Situation',
      'Background',
      'Assessment',
      'Recommendation',
    ]);
    const [patient] = ofType<Patient>(bundle, 'Patient');
    expect(patient).not.toHaveProperty('name');
    expect(JSON.stringify(bundle)).not.toMatch(/2025550|chat:|5f0c2a9be1d34c6f8a7b/);
  });
});

test('a suspected wrist break is S52.5, provisional', () => {
  const [condition] = ofType<Condition>(written(WRIST_STORY), 'Condition');
  expect(condition?.code?.coding?.[0]).toEqual({
    system: 'http://hl7.org/fhir/sid/icd-10',
    code: 'S52.5',
    display: 'Fracture of lower end of radius',
  });
  expect(condition?.verificationStatus?.coding?.[0]?.code).toBe('provisional');
});

test('each story has the codes that its rows and places allow, and no others', () => {
  const codes = (name: string) =>
    ofType<Condition>(written(name), 'Condition').map(({ code }) => code?.coding?.[0]?.code ?? code?.text);
  expect(Object.fromEntries(Object.keys(STORIES).map((name) => [name, codes(name)]))).toMatchInlineSnapshot(`
    {
      "a bitten knuckle, asked about tetanus and nerves": [
        "S66.3",
        "S61.8",
      ],
      "a bone that sticks out, told as a danger at once": [
        "bone or object out",
      ],
      "a burn of the back of the hand": [
        "burn, back of hand",
      ],
      "a chat in Spanish": [
        "S52.5",
      ],
      "a child with a sore wrist": [
        "S52.5",
      ],
      "a corrected wrist, ended as healed": [
        "S52.5",
      ],
      "a cut flexor of a finger, with the splint on": [
        "S66.1",
      ],
      "a mallet finger of a grown-up": [
        "S66.3",
        "S62.6",
      ],
      "a wrist that a clinician corrected, with the checks paused": [
        "S52.5",
      ],
      "a wrist with a failed check, after one that loosened": [
        "S52.5",
      ],
      "an open break of a finger": [
        "S62.6",
        "S66.1",
      ],
      "places that ask for opposite positions": [
        "S62.8",
        "S61.8",
      ],
      "questions still being asked": [],
      "several places: wrist and ring finger": [
        "S52.5",
        "S62.3",
      ],
      "two cuts, on a wrist and a finger": [
        "S66.1",
        "S66.3",
      ],
    }
  `);
});

test('the refill of both hands is there in seconds of UCUM at every check', () => {
  const counts = ofType<Observation>(written(WRIST_STORY), 'Observation')
    .filter(({ valueQuantity }) => valueQuantity !== undefined)
    .map(({ valueQuantity, bodySite, effectiveDateTime }) => [
      effectiveDateTime?.slice(11, 16),
      bodySite?.text,
      valueQuantity?.value,
      valueQuantity?.code,
    ]);
  expect(counts).toEqual([
    ['11:00', 'right hand', 1, 's'],
    ['11:00', 'left hand', 1, 's'],
    ['11:10', 'right hand', 2.5, 's'],
    ['11:10', 'left hand', 2, 's'],
    ['11:20', 'right hand', 4, 's'],
    ['11:20', 'left hand', 1, 's'],
  ]);
});

test('a danger that settled the plan is handed over as told, not as the injuries assumed for safety', () => {
  const bundle = written('a bone that sticks out, told as a danger at once');
  const conditions = ofType<Condition>(bundle, 'Condition');
  expect(conditions.map(({ code }) => code?.text)).toEqual(['bone or object out']);
  expect(conditions.every(({ code }) => code?.coding === undefined)).toBe(true);
});

test('what somebody wrote is escaped in the narrative, and control characters do not break it', () => {
  const bedside = openBedside();
  bedside.answers(...WRIST);
  const record = recordOf(bedside);
  const said = [{ at: bedside.now, by: 'palmward' as const, text: 'a\u0007b <script>&\ud800', key: null }];
  const bundle = bundleOf(tellIn({ ...record, said }, 'en'), ids());
  expect(faultsBySchema(bundle)).toEqual([]);
  const composition = bundle.entry?.[0]?.resource as Composition;
  const divs = composition.section?.map(({ text }) => text?.div).join('') ?? '';
  expect(divs).toContain('&#60;script&#62;&#38;');
  expect(divs).not.toContain('<script>');
  expect(JSON.stringify(bundle)).not.toContain('\\u0007');
});

test('deleted texts are said to be deleted', () => {
  const record = recordOf(STORIES[WRIST_STORY]!());
  const forgotten = {
    ...record,
    case: { ...record.case, endedAs: 'forgotten' },
    said: record.said.map((each) => ({ ...each, text: null })),
  };
  const bundle = bundleOf(tellIn(forgotten, 'en'), ids());
  expect(faultsBySchema(bundle)).toEqual([]);
  expect(faultsByStructure(bundle)).toEqual([]);
  expect(JSON.stringify(bundle)).toContain('(deleted)');
});

describe('a broken document is refused', () => {
  type Break = (bundle: Bundle) => unknown;
  const resource = (bundle: Bundle, type: string) =>
    bundle.entry?.find((entry) => entry.resource?.resourceType === type)?.resource as unknown as Record<
      string,
      unknown
    >;
  const bySchema: Record<string, Break> = {
    'an unknown property': (bundle) => (resource(bundle, 'Observation')['colour'] = 'blue'),
    'a status that there is not': (bundle) => (resource(bundle, 'Observation')['status'] = 'hopeful'),
    'a time that is none': (bundle) => (bundle.timestamp = 'yesterday'),
    'a resource that there is not': (bundle) => (resource(bundle, 'Patient')['resourceType'] = 'Person2'),
  };
  test.each(Object.keys(bySchema))('by the schema: %s', (name) => {
    const bundle = written(WRIST_STORY);
    bySchema[name]!(bundle);
    expect(faultsBySchema(bundle)).not.toEqual([]);
  });

  const byStructure: Record<string, Break> = {
    'an unknown property': (bundle) => (resource(bundle, 'Observation')['colour'] = 'blue'),
    'no status': (bundle) => delete resource(bundle, 'QuestionnaireResponse')['status'],
    'no type': (bundle) => delete (bundle as Partial<Bundle>).type,
    'a status that there is not': (bundle) => (resource(bundle, 'CarePlan')['status'] = 'hopeful'),
  };
  test.each(Object.keys(byStructure))('by the structure: %s', (name) => {
    const bundle = written(WRIST_STORY);
    byStructure[name]!(bundle);
    expect(faultsByStructure(bundle)).not.toEqual([]);
  });

  const byBoth: Record<string, Break> = {
    'two values': (bundle) => (resource(bundle, 'Observation')['valueString'] = 'two'),
    'a reference that leads nowhere': (bundle) =>
      (resource(bundle, 'Condition')['subject'] = { reference: 'urn:uuid:0' }),
    'another resource first': (bundle) => (bundle.entry = bundle.entry?.toReversed() ?? []),
  };
  test.each(Object.keys(byBoth))('by our own check: %s', (name) => {
    const bundle = written(WRIST_STORY);
    byBoth[name]!(bundle);
    expect(documentShape.safeParse(bundle).success).toBe(false);
  });
});

test('the version of the tree that asked is named', () => {
  const [response] = ofType<QuestionnaireResponse>(written(WRIST_STORY), 'QuestionnaireResponse');
  expect(response?.questionnaire).toBe(`urn:x-palmward:questionnaire:hand|${PROTOCOL.version}`);
});
