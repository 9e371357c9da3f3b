// The tree as a Questionnaire, and the answers to it: both valid, and each knows the other's links, answers and order.
import type { QuestionnaireItem, QuestionnaireResponseItem } from 'fhir/r4.d.ts';
import { expect, test } from 'vitest';
import { questionnaireOf } from '../../src/record/fhir/questionnaire.ts';
import { responseOf } from '../../src/record/fhir/response.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { STORIES, telling } from './stories.ts';
import { faultsBySchema, faultsByStructure } from './validators.ts';

const questionnaire = questionnaireOf(PROTOCOL, 'en');
const groups = new Map((questionnaire.item ?? []).map((item) => [item.linkId, item]));
const subject = { reference: 'urn:uuid:1' };

function answersTo(story: string): QuestionnaireResponseItem[] {
  return responseOf(telling(STORIES[story]!()), subject, subject).item ?? [];
}

test.each(PROTOCOL.words.languages)('the tree is a valid Questionnaire in %s', (language) => {
  const written = JSON.parse(JSON.stringify(questionnaireOf(PROTOCOL, language))) as unknown;
  expect(faultsBySchema(written)).toEqual([]);
  expect(faultsByStructure(written)).toEqual([]);
});

test('it holds every question of the tree, each under a link of its own', () => {
  const { questions, later } = PROTOCOL.flow;
  expect([...groups.keys()]).toEqual([...questions.keys(), ...later.keys()]);
  const links = (items: readonly QuestionnaireItem[]): string[] =>
    items.flatMap(({ linkId, item }) => [linkId, ...links(item ?? [])]);
  const all = links(questionnaire.item ?? []);
  expect(new Set(all).size).toBe(all.length);
});

test('every condition names a question and an answer that are there, and only the first question needs none', () => {
  const parts = new Map(
    [...groups.values()].flatMap(({ item }) => item ?? []).map((item) => [item.linkId, item]),
  );
  for (const id of PROTOCOL.flow.questions.keys()) {
    const { enableWhen = [] } = groups.get(id)!;
    expect([id, enableWhen.length > 0]).toEqual([id, id !== PROTOCOL.flow.start]);
    for (const { question, operator, answerCoding } of enableWhen) {
      const asked = parts.get(question);
      expect([id, question, asked !== undefined]).toEqual([id, question, true]);
      if (operator === '=') expect(codesOf(asked)).toContain(answerCoding?.code);
    }
  }
});

function codesOf(item: QuestionnaireItem | undefined): (string | undefined)[] {
  return (item?.answerOption ?? []).map(({ valueCoding }) => valueCoding?.code);
}

test('what was answered is one of the choices, whole and in the order of asking', () => {
  for (const story of Object.keys(STORIES)) {
    const given = answersTo(story);
    expect(given.length).toBeGreaterThan(1);
    for (const { linkId, item: own = [] } of given) {
      const group = groups.get(linkId);
      expect([story, linkId, group !== undefined]).toEqual([story, linkId, true]);
      for (const { linkId: part, answer = [] } of own) {
        const asked = group?.item?.find((each) => each.linkId === part);
        for (const { valueCoding } of answer) expect(codesOf(asked)).toContain(valueCoding?.code);
        expect(asked?.repeats === true || answer.length <= 1).toBe(true);
      }
      const isAskedTwice = given.filter((each) => each.linkId === linkId).length > 1;
      if (isAskedTwice) expect([linkId, group?.repeats]).toEqual([linkId, true]);
    }
  }
});

test('every question that was answered is enabled by the answers before it', () => {
  for (const story of Object.keys(STORIES)) {
    const before = new Map<string, string[]>();
    for (const { linkId, item = [] } of answersTo(story)) {
      const { enableWhen = [] } = groups.get(linkId)!;
      const isEnabled = enableWhen.some(({ question, operator, answerCoding }) =>
        operator === 'exists'
          ? before.has(question)
          : before.get(question)?.includes(answerCoding?.code ?? ''),
      );
      expect([story, linkId, enableWhen.length === 0 || isEnabled]).toEqual([story, linkId, true]);
      for (const { linkId: part, answer = [] } of item)
        before.set(part, [
          ...(before.get(part) ?? []),
          ...answer.flatMap(({ valueCoding }) => valueCoding?.code ?? []),
        ]);
    }
  }
});

test('two places are two answers to one question that may repeat', () => {
  const given = answersTo('two cuts, on a wrist and a finger').map(({ linkId }) => linkId);
  expect(given.filter((linkId) => linkId === 'cut-side')).toHaveLength(2);
  expect(groups.get('cut-side')?.repeats).toBe(true);
  expect(groups.get('where')?.repeats).toBeUndefined();
});
