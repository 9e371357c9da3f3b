// Holds the protocol and the catalogues against each other, on every way through the tree, in every language.
import type { Protocol } from '../care/protocol.ts';
import { speak, type Spoken } from '../care/speak.ts';
import { turn } from '../care/turn.ts';
import type { Case, Saying, StoredEvent } from '../care/types.ts';
import { planFor } from '../clinical/plan.ts';
import type { Plan } from '../model.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import { inWords, spread } from './measure.ts';
import { unusedKeys } from './unused.ts';
import { walk, type Way } from './walk.ts';

export interface Report {
  lines: string[];
  /** Empty when the protocol may be served. */
  faults: string[];
}

/** At most so many questions from the first text to the plan for one place. */
const MOST_QUESTIONS = 14;
const MOST_PLAN_TEXTS = 3;
const AROUND = { at: 0, utcOffset: 0, rota: [] };

/** Runs every check. Faults are told once each. */
export function vet(protocol: Protocol): Report {
  const ways = walk(protocol.flow, protocol.machine);
  const plans = ways.map(({ end }) => planFor(end.context.findings, protocol.rules));
  const spoken = protocol.words.languages.map((language) => ({
    language,
    ...speakAll(protocol, language, ways, plans),
  }));
  const faults = [
    ...wayFaults(protocol, ways),
    ...plans.flatMap(planFaults),
    ...spoken.flatMap(({ faults }) => faults),
    ...unusedKeys(protocol).map((key) => `the words "${key}" are used nowhere`),
    ...sourceFaults(protocol),
  ];
  const lines = [
    `version ${protocol.version}`,
    `ways through the tree: ${ways.length}, questions to the plan (min / median / max): ${inWords(spread(ways.map(({ given }) => given.length)))}`,
    ...spoken.map(
      ({ language, parts, texts }) =>
        `${language}: plan texts ${inWords(spread(texts))}, SMS parts of a plan ${inWords(spread(parts))}; reviewed: ${protocol.words.review(language).reviewed ? 'yes' : 'no'}`,
    ),
    `injuries reached: ${new Set(plans.flatMap(({ injuries }) => injuries)).size} of ${protocol.rules.rows.length} rows`,
  ];
  return { lines, faults: [...new Set(faults)] };
}

function wayFaults({ flow }: Protocol, ways: Way[]): string[] {
  const faults: string[] = [];
  for (const { given, end } of ways) {
    if (end.value !== flow.end) faults.push(`a way ends in "${end.value}" after ${given.length} questions`);
    if (end.context.findings.sites.length === 1 && given.length > MOST_QUESTIONS)
      faults.push(
        `a way for one place takes ${given.length} questions: ${given.map(({ question }) => question).join(' ')}`,
      );
  }
  const asked = new Set(ways.flatMap(({ given }) => given.map(({ question }) => question)));
  const never = [...flow.questions.keys()].filter((id) => !asked.has(id));
  return [...faults, ...never.map((id) => `question "${id}" is asked on no way`)];
}

function planFaults(plan: Plan): string[] {
  const held = plan.position.map(({ joint }) => joint);
  const both = held.filter((joint) => plan.free.includes(joint));
  return [
    ...both.map((joint) => `${plan.injuries.join(' + ')}: ${joint} is held and free`),
    ...(plan.conflict && plan.urgency !== 'now'
      ? [`${plan.injuries.join(' + ')}: a conflict that is not now`]
      : []),
    ...(plan.injuries.length === 0 ? ['a way ends without any row of the protocol'] : []),
  ];
}

function sourceFaults({ rules }: Protocol): string[] {
  const named = rules.rows.flatMap((row) => [
    ...row.source,
    ...[row.effect, ...row.also.map(({ effect }) => effect)].flatMap(({ position }) =>
      position.flatMap(({ source }) => source),
    ),
  ]);
  const without = rules.rows
    .filter(({ source }) => source.length === 0)
    .map(({ id }) => `row "${id}" names no source`);
  const unknown = named
    .filter((key) => !Object.hasOwn(rules.sources, key))
    .map((key) => `source "${key}" is not in flows/sources.yaml`);
  return [...without, ...unknown];
}

// Every question on every way and every plan is said once as it would be, and each text must be one message.
function speakAll(protocol: Protocol, language: string, ways: Way[], plans: Plan[]) {
  const faults: string[] = [];
  const parts: number[] = [];
  const texts: number[] = [];
  const begun = beginCase(protocol, language);
  const said = (of: Case, saying: Saying): Spoken[] =>
    speak([saying], { language, protocol, case: of, clinician: null, withCode: false });
  ways.forEach(({ end }, at) => {
    const plan = plans[at];
    if (!plan) return;
    const of: Case = { ...begun, asking: end, findings: end.context.findings, plan };
    const told = said(of, { plan: 'all' });
    texts.push(told.length);
    parts.push(told.reduce((sum, { text }) => sum + measure(foldForSms(text)).parts, 0));
    if (told.length > MOST_PLAN_TEXTS)
      faults.push(`${language}: ${plan.injuries.join(' + ')}: the plan takes ${told.length} texts`);
    for (const { text } of told)
      if (!isOneMessage(text)) faults.push(`${language}: too long for one message: ${text}`);
  });
  for (const { id } of protocol.flow.questions.values())
    for (const { text } of said(longestPlace(begun), { ask: id }))
      if (!isOneMessage(text))
        faults.push(`${language}: question "${id}" is too long for one message: ${text}`);
  for (const { id } of protocol.flow.later.values())
    for (const { text } of said(begun, { ask: id }))
      if (!isOneMessage(text))
        faults.push(`${language}: question "${id}" is too long for one message: ${text}`);
  return { faults, parts, texts };
}

function longestPlace(of: Case): Case {
  const context = {
    ...of.asking.context,
    named: true,
    findings: { side: 'right' as const, sites: [{ region: 'forearm' as const }] },
  };
  return { ...of, asking: { ...of.asking, context } };
}

function isOneMessage(text: string): boolean {
  return measure(foldForSms(text)).parts <= 1;
}

function beginCase(protocol: Protocol, language: string): Case {
  const opened: StoredEvent = {
    kind: 'opened',
    code: 'B2B2',
    number: 1,
    contact: 'phone:+12025550101',
    language,
    version: protocol.version,
    ...AROUND,
  };
  return turn(null, opened, protocol).case;
}
