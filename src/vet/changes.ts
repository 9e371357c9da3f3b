// What one version of the protocol does otherwise than another: plans, questions, texts and decisions.
import { parse } from 'yaml';
import type { Protocol } from '../care/protocol.ts';
import { planFor } from '../clinical/plan.ts';
import type { Findings, Plan, SourceFile } from '../model.ts';
import { allAnswers, everyPlace, fewAnswers, findingsOf } from './places.ts';

/** A plan that came out otherwise: first findings for which it does, and for how many of those tried. */
export interface PlanChange {
  limb: Findings;
  before: Plan;
  after: Plan;
  /** What of the plan differs. */
  differs: (keyof Plan)[];
  count: number;
}

/** Something with a name that came, went or reads otherwise; null where it was not there. */
export interface Change {
  name: string;
  before: string | null;
  after: string | null;
}

export interface Changes {
  before: string;
  after: string;
  plans: PlanChange[];
  questions: Change[];
  texts: Change[];
  decisions: Change[];
}

export interface Version {
  protocol: Protocol;
  files: readonly SourceFile[];
}

/** Both are tried with the same findings: every single place, and each sign on fewer of them. */
export function changesBetween(before: Version, after: Version): Changes {
  return {
    before: before.protocol.version,
    after: after.protocol.version,
    plans: plansChanged(before.protocol, after.protocol),
    questions: changed(questionsOf(before.protocol), questionsOf(after.protocol)),
    texts: changed(textsOf(before.files), textsOf(after.files)),
    decisions: changed(decisionsOf(before.protocol), decisionsOf(after.protocol)),
  };
}

function plansChanged(before: Protocol, after: Protocol): PlanChange[] {
  const found = new Map<string, PlanChange>();
  for (const limb of samples(after)) {
    const [old, now] = [planFor(limb, before.rules), planFor(limb, after.rules)];
    const differs = differing(old, now);
    if (differs.length === 0) continue;
    const key = JSON.stringify([
      old.injuries,
      now.injuries,
      ...differs.map((part) => [old[part], now[part]]),
    ]);
    const known = found.get(key);
    if (known) known.count += 1;
    else found.set(key, { limb, before: old, after: now, differs, count: 1 });
  }
  return [...found.values()].toSorted((a, b) => b.count - a.count);
}

function* samples({ rules }: Protocol): Generator<Findings> {
  const all = allAnswers(rules);
  for (const chosen of everyPlace(all)) yield findingsOf(chosen, all);
  const few = fewAnswers();
  for (const chosen of everyPlace(few)) for (const sign of rules.signs) yield findingsOf(chosen, few, [sign]);
}

/** The first splint is told among all, and the times of the watch by the calendar's name. */
const TOLD_ELSEWHERE: readonly (keyof Plan)[] = ['splint', 'watch'];

function differing(before: Plan, after: Plan): (keyof Plan)[] {
  return (Object.keys(after) as (keyof Plan)[]).filter(
    (part) => !TOLD_ELSEWHERE.includes(part) && JSON.stringify(before[part]) !== JSON.stringify(after[part]),
  );
}

function questionsOf({ flow }: Protocol): Map<string, string> {
  const told = [...flow.questions, ...flow.later].map(
    ([id, question]) => [id, JSON.stringify([question, flow.branches.get(id) ?? []])] as const,
  );
  return new Map(told);
}

function decisionsOf({ rules }: Protocol): Map<string, string> {
  return new Map(rules.decisions.map((one) => [one.asks, `${one.decided} (${one.because})`]));
}

/** Every text and list of words, by language and key. */
function textsOf(files: readonly SourceFile[]): Map<string, string> {
  const texts = new Map<string, string>();
  const look = (value: unknown, name: string) => {
    if (value === null || typeof value !== 'object' || Array.isArray(value)) texts.set(name, flat(value));
    else for (const [key, below] of Object.entries(value)) look(below, `${name}.${key}`);
  };
  for (const { path, text } of files) {
    const [folder, language, file = ''] = path.split('/');
    if (folder === 'locales') look(parse(text), `${language} ${file.replace(/[.]yaml$/, '')}`);
  }
  return texts;
}

const flat = (value: unknown): string => (typeof value === 'string' ? value : JSON.stringify(value));

function changed(before: ReadonlyMap<string, string>, after: ReadonlyMap<string, string>): Change[] {
  return [...new Set([...after.keys(), ...before.keys()])]
    .filter((name) => before.get(name) !== after.get(name))
    .map((name) => ({ name, before: before.get(name) ?? null, after: after.get(name) ?? null }));
}
