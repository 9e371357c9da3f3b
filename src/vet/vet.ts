// Holds the protocol and the catalogues against each other: every way through the tree, every place, every text.
import type { Protocol } from '../care/protocol.ts';
import { planFor } from '../clinical/plan.ts';
import { signedInWords } from '../clinical/signature.ts';
import type { Findings, Plan, SourceFile } from '../model.ts';
import { weighAnswers } from './dead-answers.ts';
import type { Broken } from './laws.ts';
import { inWords, spread } from './measure.ts';
import { missingWords } from './missing.ts';
import { weighNumbers } from './numbers.ts';
import { sayAll } from './say-all.ts';
import { sayPlans } from './say-plans.ts';
import { sayRecords } from './say-records.ts';
import { tendonLines } from './tendon-lines.ts';
import { tryByChance } from './chance.ts';
import { tryPairs } from './try-pairs.ts';
import { tryPlaces, trySignPairs } from './try-places.ts';
import { unusedKeys } from './unused.ts';
import { walk, type Walked } from './walk.ts';
import { mostQuestions, questionCounts, wayFaults } from './ways.ts';

/** What is to be read: lines as they stand. Without faults, the protocol may be served. */
export interface Report {
  lines: string[];
  faults: string[];
}

/** A plan that the tree leads to, and findings that lead to it. */
export interface PlannedLimb {
  limb: Findings;
  plan: Plan;
}

const CHANCES = 10_000;

/** What can be vetted by itself. */
export type Part = 'tree' | 'places' | 'chance' | 'words' | 'sources';
const PARTS: readonly Part[] = ['tree', 'places', 'chance', 'words', 'sources'];

/** Runs the checks over a protocol and the files it was opened from. Faults are told once each. */
export function vet(protocol: Protocol, files: readonly SourceFile[], only: readonly Part[] = PARTS): Report {
  let known: Walked | undefined;
  const walked = () => (known ??= walk(protocol.flow, protocol.machine));
  const checks: Record<Part, () => Report> = {
    tree: () => vetTree(protocol, walked()),
    places: () => vetPlaces(protocol),
    chance: () => vetChance(protocol),
    words: () => vetWords(protocol, plansOfTree(protocol, walked())),
    sources: () => vetSources(protocol, files),
  };
  const parts = only.map((part) => checks[part]());
  return {
    lines: [
      `version ${protocol.version}, ${signedInWords(protocol.signature)}`,
      ...parts.flatMap(({ lines }) => lines),
    ],
    faults: [...new Set(parts.flatMap(({ faults }) => faults))],
  };
}

function vetTree(protocol: Protocol, walked: Walked): Report {
  const { min, median } = spread(questionCounts(walked));
  const { dead, alike } = weighAnswers(walked, protocol);
  return {
    lines: [
      'Tree',
      `  ${walked.stops.size} situations, ${walked.ways.length} ends; ${protocol.flow.questions.size} questions`,
      `  questions to the plan (min / median / max of one place): ${min} / ${median} / ${mostQuestions(walked)}`,
      `  answers that change nothing: ${dead.join(', ') || 'none'}`,
      `  answers that always come to the same: ${alike.join(', ') || 'none'}`,
    ],
    faults: [
      ...wayFaults(protocol, walked),
      ...dead.map((answer) => `answer "${answer}" changes neither way nor plan`),
    ],
  };
}

/** Every distinct plan of the tree, each with the first findings that lead to it; a child's and an adult's. */
export function plansOfTree({ rules }: Protocol, { ways }: Walked): PlannedLimb[] {
  const plans = new Map<string, PlannedLimb>();
  for (const { end } of ways)
    for (const age of ['adult', 'child'] as const) {
      const limb = { ...end.context.findings, age };
      const plan = planFor(limb, rules);
      const places = limb.sites.map(({ region, digits }) => [region, digits]);
      const key = JSON.stringify([plan, places]);
      if (!plans.has(key)) plans.set(key, { limb, plan });
    }
  return [...plans.values()];
}

function vetPlaces({ rules }: Protocol): Report {
  const places = tryPlaces(rules);
  const signs = trySignPairs(rules);
  const pairs = tryPairs(places.distinct.values(), rules);
  const broken = [...places.broken, ...signs.broken, ...pairs.broken];
  return {
    lines: [
      'Places',
      `  single places, with no sign and with each: ${places.count} tried, ${places.distinct.size} distinct plans`,
      `  single places with two signs: ${signs.count} tried, ${signs.distinct.size} distinct plans`,
      `  places in pairs: ${pairs.count} tried`,
      ...tendonLines(places.distinct.values(), rules).map((line) => `  ${line}`),
    ],
    faults: inFaults(broken),
  };
}

function vetChance({ rules }: Protocol): Report {
  return { lines: [`  findings by chance: ${CHANCES} tried`], faults: inFaults(tryByChance(rules, CHANCES)) };
}

/** Each law once for each group of rows that breaks it, with findings to try it with. */
function inFaults(broken: readonly Broken[]): string[] {
  const byLaw = Map.groupBy(broken, ({ law, of }) => `${of}: ${law}`);
  return [...byLaw].map(
    ([fault, all]) => `${fault} (${all.length} times), as for ${JSON.stringify(all[0]?.example)}`,
  );
}

function vetWords(protocol: Protocol, plans: readonly PlannedLimb[]): Report {
  const reached = new Set(plans.flatMap(({ plan }) => plan.injuries));
  const unreached = protocol.rules.rows.map(({ id }) => id).filter((id) => !reached.has(id));
  const longest = plans.toSorted((a, b) => b.plan.injuries.join().length - a.plan.injuries.join().length)[0];
  const spoken = protocol.words.languages.map((language) => ({
    language,
    plans: sayPlans(plans, protocol, language),
    records: sayRecords(plans, protocol, language),
    faults: sayAll(protocol, language, longest?.plan),
  }));
  return {
    lines: [
      'Words',
      ...spoken.map(
        ({ language, plans: { texts, parts }, records }) =>
          `  ${language}: texts of a plan ${inWords(spread(texts))}, SMS parts of a plan ${inWords(spread(parts))}, of a handover ${inWords(spread(records.texts))} (min / median / max); reviewed: ${protocol.words.review(language).reviewed ? 'yes' : 'no'}`,
      ),
      'Rows',
      `  the tree leads to ${reached.size} of ${protocol.rules.rows.length} rows; only findings as JSON lead to: ${unreached.join(', ') || 'none'}`,
    ],
    faults: [
      ...spoken.flatMap(({ plans, records, faults }) => [...plans.faults, ...records.faults, ...faults]),
      ...missingWords(protocol),
      ...unusedKeys(protocol).map((key) => `the words "${key}" are used nowhere`),
    ],
  };
}

function vetSources({ rules }: Protocol, files: readonly SourceFile[]): Report {
  const { bare, idle } = weighNumbers(files, Object.keys(rules.sources));
  const unseen = Object.entries(rules.sources).filter(([, { kind, seen }]) => kind === 'published' && !seen);
  return {
    lines: [
      'Sources',
      `  ${Object.keys(rules.sources).length} sources; named by no number: ${idle.join(', ') || 'none'}`,
      `  published, but seen by nobody of this project: ${unseen.map(([key]) => key).join(', ') || 'none'}`,
    ],
    faults: bare.map((path) => `${path} is a number without a source`),
  };
}
