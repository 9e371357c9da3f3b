// The answers as they were understood, as a QuestionnaireResponse to the version of the tree that asked.
import type { QuestionnaireResponse, QuestionnaireResponseItem, Reference } from 'fhir/r4.d.ts';
import { instantOf } from '../moments.ts';
import type { Telling } from '../recorded.ts';
import { answersOf, labelOf, linkOf } from './questionnaire.ts';
import { QUESTIONNAIRE_URL } from './parts.ts';

interface Given {
  question: string;
  /** Each `part:answer`. */
  answers: string[];
}

export function responseOf(telling: Telling, subject: Reference, author: Reference): QuestionnaireResponse {
  const { case: of, protocol } = telling;
  return {
    resourceType: 'QuestionnaireResponse',
    questionnaire: `${QUESTIONNAIRE_URL}|${protocol.version}`,
    status: of.plan ? 'completed' : 'in-progress',
    subject,
    authored: instantOf(telling, telling.history.plannedAt ?? telling.at),
    author,
    item: [...of.asking.context.given, ...laterIn(telling)].flatMap((given) => itemOf(given, telling)),
  };
}

function itemOf(
  { question: id, answers }: Given,
  { protocol: { flow }, say }: Telling,
): QuestionnaireResponseItem[] {
  const question = flow.questions.get(id) ?? flow.later.get(id);
  if (!question) return [];
  const item = question.parts.flatMap((part): QuestionnaireResponseItem[] => {
    const own = answers
      .filter((key) => key.startsWith(`${part.name}:`))
      .map((key) => key.slice(part.name.length + 1));
    const answer = own.map((code) => ({
      valueCoding: { code, display: labelOf(question, part, code, say) },
    }));
    return answer.length > 0 ? [{ linkId: linkOf(id, part.name), answer }] : [];
  });
  return [{ linkId: id, ...(item.length > 0 ? { item } : {}) }];
}

/** The questions after the plan whose answers the case keeps. */
function laterIn({ case: { facts, material }, protocol: { flow } }: Telling): Given[] {
  return [...flow.later.values()].flatMap(({ id, parts: [part] }): Given[] => {
    if (!part) return [];
    const known =
      id === 'material'
        ? part.answers.find(({ sets }) => sets?.material === material && material !== null)?.id
        : answersOf(part).find((answer) => answer === facts[id]);
    return known === undefined ? [] : [{ question: id, answers: [`${part.name}:${known}`] }];
  });
}
