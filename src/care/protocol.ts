// The protocol opened: the clinical rules, the question tree and every word, from one version of `flows/` and `locales/`.
import { openClinical, type ClinicalRules } from '../clinical/rules.ts';
import { readSignature, type Signature } from '../clinical/signature.ts';
import type { Flow, Question } from '../dialogue/flow.ts';
import { compile, type Machine } from '../dialogue/machine.ts';
import { readFlow } from '../dialogue/read-flow.ts';
import type { Fault, Read, SourceFile } from '../model.ts';
import { filledUp, openCatalogues, type Catalogues } from '../wording/catalogue.ts';

export interface Protocol {
  /** Hash over the files. */
  version: string;
  rules: ClinicalRules;
  flow: Flow;
  machine: Machine;
  words: Catalogues;
  /** Whether a keeper signed this version. */
  signature: Signature;
}

/** Opens a version, or tells every fault in it by file and line. */
export function openProtocol(files: SourceFile[], version: string): Read<Protocol> {
  const rules = openClinical(files);
  const words = openCatalogues(files);
  const flow = readFlow(files, rules.ok ? rules.value.signs : []);
  const signature = readSignature(files, version);
  if (rules.ok && words.ok && flow.ok && signature.ok) {
    const faults = [...missingWords(flow.value, words.value), ...missingPlanWords(rules.value, words.value)];
    if (faults.length > 0) return { ok: false, faults };
    return {
      ok: true,
      value: {
        version,
        rules: rules.value,
        flow: flow.value,
        machine: compile(flow.value),
        words: approvedWith(signature.value, words.value),
        signature: signature.value,
      },
    };
  }
  // Without the rules every sign would be unknown: tell the faults of the tree only once the rules can be read.
  const faults = [rules, words, signature, ...(rules.ok ? [flow] : [])].flatMap((read) =>
    read.ok ? [] : read.faults,
  );
  return { ok: false, faults };
}

// A signature is for one version: whoever signs has seen that the reviews beside it are of these words.
function approvedWith({ state }: Signature, words: Catalogues): Catalogues {
  return state === 'signed' ? words : { ...words, approved: () => false };
}

/** An older version as it is gone on under: what the program says only since then is said in the words of the newer one. */
export function broughtUp(older: Protocol, newer: Protocol): Protocol {
  return { ...older, words: filledUp(older.words, newer.words) };
}

function missingWords(flow: Flow, words: Catalogues): Fault[] {
  return [...flow.questions.values(), ...flow.later.values()].flatMap((question) =>
    keysOf(question)
      .filter((key) => !words.has(key))
      .map((key) => ({
        file: 'flows/hand.yaml',
        line: 1,
        message: `question "${question.id}" has no words: "${key}"`,
      })),
  );
}

function missingPlanWords({ rows }: ClinicalRules, words: Catalogues): Fault[] {
  const keys = rows.flatMap(({ id, effect, also }) => [
    `plan.injury.${id}`,
    ...[effect, ...also.map((more) => more.effect)].flatMap(({ splints }) =>
      splints.flatMap(({ from, to }) => [`plan.from.${from}`, `plan.to.${to}`]),
    ),
  ]);
  return [...new Set(keys)]
    .filter((key) => !words.has(key))
    .map((key) => ({ file: 'flows/positions.yaml', line: 1, message: `no words in locales/: "${key}"` }));
}

/** The keys of a question's text, its numbered answers' labels, and the words understood for each answer. */
export function keysOf(question: Question): string[] {
  return [
    `ask.${question.id}.text`,
    ...question.parts.flatMap((part) =>
      part.answers.flatMap((answer) => [
        ...(part.by === 'number' ? [`ask.${question.id}.${answer.id}`] : []),
        `heard.${question.id}.${answer.id}`,
      ]),
    ),
  ];
}
