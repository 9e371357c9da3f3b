// The question tree as a FHIR Questionnaire: a group a question, a choice for each of its parts.
import type {
  Questionnaire,
  QuestionnaireItem,
  QuestionnaireItemAnswerOption,
  QuestionnaireItemEnableWhen,
} from 'fhir/r4.d.ts';
import type { Protocol } from '../../care/protocol.ts';
import { leadingTo, askedAgain } from './tree-links.ts';
import { QUESTIONNAIRE_URL } from './parts.ts';

type Question = Protocol['flow']['questions'] extends Map<string, infer Q> ? Q : never;
type Part = Question['parts'][number];
type Say = (key: string, params?: Record<string, string | number>) => string;

/** What stands for "0, not sure" among the answers of a part; events name it so. */
const NOT_SURE = 'not-sure';

export function questionnaireOf(protocol: Protocol, language: string): Questionnaire {
  const { flow, version, words, signature } = protocol;
  const say: Say = (key, params) => words.say(language, key, params);
  const isSigned = signature.state === 'signed';
  const again = askedAgain(flow);
  return {
    resourceType: 'Questionnaire',
    language,
    url: QUESTIONNAIRE_URL,
    version,
    name: 'PalmwardHand',
    title: say('record.questionnaire.title'),
    status: isSigned ? 'active' : 'draft',
    experimental: !isSigned,
    subjectType: ['Patient'],
    description: say('record.questionnaire.description'),
    item: [
      ...[...flow.questions.values()].map((question) => ({
        ...itemOf(question, say),
        ...(again.has(question.id) ? { repeats: true } : {}),
        ...enabledBy(question.id, flow),
      })),
      ...[...flow.later.values()].map((question) => itemOf(question, say)),
    ],
  };
}

function itemOf(question: Question, say: Say): QuestionnaireItem {
  return {
    linkId: question.id,
    type: 'group',
    text: textOf(question, say),
    item: question.parts.map((part) => partOf(question, part, say)),
  };
}

// A text speaks of a place, or of what a program is: here of any place, and of nothing.
function textOf({ id }: Question, say: Say): string {
  const place = say('record.questionnaire.place');
  return say(`ask.${id}.text`, { place, notice: '' }).trim();
}

function partOf(question: Question, part: Part, say: Say): QuestionnaireItem {
  return {
    linkId: linkOf(question.id, part.name),
    ...(question.parts.length > 1 ? { text: part.name } : {}),
    type: 'choice',
    ...(part.needed ? { required: true } : {}),
    ...(part.several ? { repeats: true } : {}),
    answerOption: optionsOf(question, part, say),
  };
}

/** The linkId of a part of a question. */
export function linkOf(question: string, part: string): string {
  return `${question}.${part}`;
}

function optionsOf(question: Question, part: Part, say: Say): QuestionnaireItemAnswerOption[] {
  return answersOf(part).map((id) => ({
    valueCoding: { code: id, display: labelOf(question, part, id, say) },
  }));
}

/** Every answer to a part. */
export function answersOf(part: Part): string[] {
  return [...part.answers.map(({ id }) => id), ...(part.unsure ? [NOT_SURE] : [])];
}

/** An answer's label; one told by a letter has none but its own name. */
export function labelOf(question: Question, part: Part, id: string, say: Say): string {
  if (id === NOT_SURE) return say('ask.not-sure');
  return part.by === 'number' ? say(`ask.${question.id}.${id}`) : id;
}

// Conditions on what was found cannot be said here: each question that can lead on to this one enables it.
function enabledBy(
  id: string,
  flow: Protocol['flow'],
): Pick<QuestionnaireItem, 'enableWhen' | 'enableBehavior'> {
  const enableWhen = leadingTo(id, flow).flatMap(({ from, answers }): QuestionnaireItemEnableWhen[] => {
    const question = flow.questions.get(from);
    const asked = question?.parts.find((part) => part.needed) ?? question?.parts[0];
    if (!question || !asked) return [];
    if (answers === null)
      return [{ question: linkOf(from, asked.name), operator: 'exists', answerBoolean: true }];
    return answers.flatMap((answer) => {
      const part = question.parts.find((each) => answersOf(each).includes(answer));
      return part
        ? [{ question: linkOf(from, part.name), operator: '=', answerCoding: { code: answer } } as const]
        : [];
    });
  });
  if (enableWhen.length === 0) return {};
  return enableWhen.length > 1 ? { enableWhen, enableBehavior: 'any' } : { enableWhen };
}
