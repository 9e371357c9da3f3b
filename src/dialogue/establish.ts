// What an answer establishes: findings of the limb, findings of the place asked about, and keys raised.
import type { AskingContext, Given } from './context.ts';
import {
  NOT_SURE,
  answerKey,
  type Branch,
  type Establishes,
  type Part,
  type Question,
  type Sets,
  type When,
} from './flow.ts';
import type { Findings, Site } from '../model.ts';

type Place = NonNullable<Sets['place']>;

/** The context after these answers (each `part:answer`) to a question. */
export function establish(context: AskingContext, question: Question, answers: string[]): AskingContext {
  const given: Given[] = [...context.given, { question: question.id, answers }];
  const found = question.parts.flatMap((part) => establishedBy(part, answers));
  const after = found.reduce(apply, { ...context, given });
  return takePlaces(
    after,
    found.flatMap((each) => (each.sets?.place ? [each.sets.place] : [])),
  );
}

function establishedBy(part: Part, answers: string[]): Establishes[] {
  const chosen = part.answers.filter((answer) => answers.includes(answerKey(part.name, answer.id)));
  if (chosen.length > 0) return chosen;
  if (answers.includes(answerKey(part.name, NOT_SURE))) return part.unsure ? [part.unsure] : [];
  return part.otherwise ? [part.otherwise] : [];
}

function apply(context: AskingContext, { sets, raises }: Establishes): AskingContext {
  const raised = [...new Set([...context.raised, ...(raises ?? [])])];
  if (!sets) return { ...context, raised };
  const findings: Findings = { ...context.findings };
  if (sets.side) findings.side = sets.side;
  if (sets.age) findings.age = sets.age;
  if (sets.sex) findings.sex = sets.sex;
  if (sets.material) findings.material = sets.material;
  if (sets.notKnown) findings.notKnown = union(findings.notKnown, sets.notKnown);
  findings.sites = findings.sites.map((site, at) => (at === context.site ? applyToSite(site, sets) : site));
  return { ...context, findings, raised };
}

function applyToSite(site: Site, sets: Sets): Site {
  const { notKnown, digits, ...plain } = sets.site ?? {};
  const after: Site = { ...site, ...plain };
  if (digits) after.digits = union(site.digits, digits);
  if (notKnown) after.notKnown = union(site.notKnown, notKnown);
  if (sets.signs) after.signs = union(site.signs, sets.signs);
  return after;
}

function union<T>(before: T[] | undefined, more: T[]): T[] {
  return [...new Set([...(before ?? []), ...more])];
}

// The first place named is the one asked about; danger signs and the skin told before it belong to it.
// What the skin is like was asked once for all: whole skin is whole everywhere, a wound is asked about place by place.
function takePlaces(context: AskingContext, places: Place[]): AskingContext {
  if (places.length === 0) return context;
  const [first, ...others] = places as [Place, ...Place[]];
  const whole = context.findings.sites[0]?.wound === 'none' && context.findings.sites[0]?.cause !== 'burn';
  const waiting = others.map((region): Site =>
    whole ? { region, wound: 'none', cause: 'other' } : { region },
  );
  const sites = context.findings.sites.map((site, at) => (at === 0 ? { ...site, region: first } : site));
  return { ...context, findings: { ...context.findings, sites }, named: true, waiting };
}

/** The context as the next waiting place is taken up. */
export function moveOn(context: AskingContext): AskingContext {
  const [next, ...waiting] = context.waiting;
  if (!next) return context;
  const sites = [...context.findings.sites, next];
  return { ...context, findings: { ...context.findings, sites }, site: sites.length - 1, waiting };
}

/** Whether a branch may be taken from this context, after these answers. */
export function holds(branch: Branch, context: AskingContext, answers: string[]): boolean {
  return branch.when === undefined || meets(branch.when, context, answers);
}

function meets(when: When, context: AskingContext, answers: string[]): boolean {
  const site = context.findings.sites[context.site];
  const among = (wanted: string[] | undefined, value: string | undefined) =>
    wanted === undefined || (value !== undefined && wanted.includes(value));
  return (
    (when.raised === undefined || when.raised.some((key) => context.raised.includes(key))) &&
    (when.answer === undefined ||
      when.answer.some((id) => answers.some((each) => each.endsWith(`:${id}`)))) &&
    (when.unknown === undefined || when.unknown.some((key) => isUnknown(key, context))) &&
    (when.waiting === undefined || when.waiting === context.waiting.length > 0) &&
    among(when['site.region'], context.named ? site?.region : undefined) &&
    among(when['site.wound'], site?.wound) &&
    among(when['site.face'], site?.face) &&
    among(when['site.broken'], site?.broken) &&
    among(when['site.level'], site?.level) &&
    among(when['site.cause'], site?.cause)
  );
}

function isUnknown(key: string, context: AskingContext): boolean {
  const site = context.findings.sites[context.site];
  if (key === 'site.region') return !context.named;
  if (key.startsWith('site.')) {
    const field = key.slice('site.'.length) as keyof Site;
    return site?.[field] === undefined && !(site?.notKnown ?? []).includes(field);
  }
  return context.findings[key as 'side'] === undefined && !(context.findings.notKnown ?? []).includes(key);
}
