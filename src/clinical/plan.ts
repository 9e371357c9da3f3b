// Computes a plan from findings: every place asks for its rows, and what they ask is intersected. The order of
// places changes nothing.
import type { CalendarName, Digit, Findings, HeldJoint, Joint, Plan, Splint, Urgency } from '../model.ts';
import { DIGITS, digitOf, JOINTS } from './anatomy.ts';
import { afterPlan, seenByOf } from './after-plan.ts';
import { calendarTimes } from './calendar.ts';
import { digitsCut, jointsFreed } from './establish.ts';
import type { Finding } from './establish.ts';
import { laySplints } from './lay-splints.ts';
import { askOf, isTorn, positionFrom } from './merge-joints.ts';
import type { ClinicalRules, Effect } from './rule-types.ts';
import { weighSite } from './weigh-site.ts';
import type { WeighedSite } from './weigh-site.ts';
import { worstAnswer } from './worst-answer.ts';
import { worseUrgency } from './urgency.ts';

const CALENDARS: readonly CalendarName[] = ['finger', 'wrist', 'limb'];

interface Weighed {
  sites: readonly WeighedSite[];
  /** All findings, in the order of the rows. */
  findings: readonly Finding[];
  position: HeldJoint[];
  splints: Splint[];
  asItLies: boolean;
  conflict: boolean;
}

/** The plan for one limb: joint by joint in degrees, what stays free, the splints, the urgency and the watch. */
export function planFor(findings: Findings, rules: ClinicalRules): Plan {
  const weighed = weigh(findings, rules);
  if (weighed.findings.length === 0)
    return planForNothing(rules, worstAnswer(weighed.sites, findings, rules));
  const { urgency, call } = urgencyOf(weighed, findings, rules);
  const after = afterPlan(weighed.findings, urgency);
  // Where nothing is held and nothing is urgent there is nothing to watch.
  const idle = urgency === 'soon' && !call && weighed.position.length === 0 && !weighed.asItLies;
  const calendar = idle ? null : calendarOf(weighed);
  return {
    ...holdOf(weighed),
    injuries: mostUrgentFirst(weighed.findings),
    urgency,
    ...after,
    call,
    cautions: unique(weighed.findings.flatMap(({ effect }) => effect.cautions)),
    cutDigits: DIGITS.filter((digit) => weighed.findings.some((each) => digitsCut(each).includes(digit))),
    calendar,
    watch: calendar ? calendarTimes(calendar, rules) : [],
  };
}

/**
 * The plan where the protocol itself is not to be trusted: the hand stays as it lies, is watched closely, and a clinician
 * decides today. How urgent it is stays, since danger does not depend on what was found wrong with a position.
 */
export function withheldPlan(plan: Plan, rules: ClinicalRules): Plan {
  const urgency = worseUrgency(plan.urgency, 'today');
  const nothing = { position: [], free: [], splint: null, splints: [], tolerated: [], usualStay: null };
  const watch = { calendar: 'limb', watch: calendarTimes('limb', rules) } as const;
  const seenBy = urgency === plan.urgency ? plan.seenBy : seenByOf([], urgency);
  return { ...plan, ...nothing, ...watch, hold: 'as-it-lies', urgency, seenBy, call: true };
}

function weigh(limb: Findings, rules: ClinicalRules): Weighed {
  const sites = limb.sites.map((site) => weighSite(site, limb, rules));
  const findings = sites.flatMap((site) => site.findings).toSorted((a, b) => a.order - b.order);
  const asked = askOf(sites.map((site) => site.findings));
  const { splints, conflict } = laySplints(sites.flatMap((site) => site.places));
  const torn = isTorn(asked) || conflict;
  return {
    sites,
    findings,
    position: torn ? [] : positionFrom(asked),
    splints,
    asItLies: findings.some(({ effect }) => effect.hold !== undefined),
    conflict: torn,
  };
}

/** As it lies where one place needs it or nothing can be agreed on; else as planned; free where nothing is held. */
function holdOf(
  weighed: Weighed,
): Pick<Plan, 'hold' | 'position' | 'free' | 'splint' | 'splints' | 'conflict'> {
  const { position, splints, asItLies } = weighed;
  const both = weighed.findings.some(({ effect }) => effect.hold === 'conflict');
  const conflict = both || (weighed.conflict && !asItLies);
  if (asItLies || conflict)
    return { hold: 'as-it-lies', position: [], free: [], splint: null, splints: [], conflict };
  const hold = position.length ? 'as-planned' : 'free';
  return { hold, position, free: freeOf(weighed), splint: splints[0] ?? null, splints, conflict };
}

/** What the rows leave free and no row holds; a digit assumed cut has only what the row that says so leaves it. */
function freeOf({ findings, position }: Weighed): Joint[] {
  if (position.length === 0) return [...JOINTS];
  const held = new Set(position.map(({ joint }) => joint));
  const freed = new Set(findings.flatMap(jointsFreed));
  return JOINTS.filter((joint) => freed.has(joint) && !held.has(joint) && !isCutShort(joint, findings));
}

function isCutShort(joint: Joint, findings: readonly Finding[]): boolean {
  const digit = digitOf(joint);
  if (digit === undefined) return false;
  return findings.some((each) => digitsCut(each).includes(digit) && !jointsFreed(each).includes(joint));
}

function urgencyOf(
  weighed: Weighed,
  limb: Findings,
  rules: ClinicalRules,
): { urgency: Urgency; call: boolean } {
  const { sites, findings } = weighed;
  if (weighed.conflict) return { urgency: 'now', call: true };
  const urgency = findings.map(({ effect }) => effect.urgency).reduce(worseUrgency, 'soon');
  const call = findings.some(({ effect }) => effect.call);
  if (urgency === 'now' && call) return { urgency, call };
  const worst = worstAnswer(sites, limb, rules);
  return { urgency: worseUrgency(urgency, worst.urgency), call: call || worst.call };
}

function calendarOf({ findings, conflict }: Weighed): CalendarName {
  const worst = Math.max(0, ...findings.map(({ effect }) => CALENDARS.indexOf(effect.calendar ?? 'finger')));
  return conflict ? 'limb' : CALENDARS[worst]!;
}

/** Nothing was established: everything moves, and nothing is watched. What nobody told may still make it urgent. */
function planForNothing(rules: ClinicalRules, worst: Pick<Plan, 'urgency' | 'call'>): Plan {
  const row = rules.rows.find(({ otherwise }) => otherwise)!;
  const { cautions }: Effect = row.effect;
  const urgency = worseUrgency(row.effect.urgency, worst.urgency);
  const call = row.effect.call || worst.call;
  const nothing = { position: [], splint: null, splints: [], conflict: false, calendar: null, watch: [] };
  const cutDigits: Digit[] = [];
  const injuries = [row.id];
  return {
    hold: 'free',
    ...nothing,
    free: [...JOINTS],
    injuries,
    urgency,
    seenBy: seenByOf([{ effect: row.effect, own: [] }], urgency),
    usualStay: null,
    tolerated: [],
    call,
    cautions: [...cautions],
    cutDigits,
  };
}

/** The rows established, those that bring in a person soonest first; among equals in the order of the protocol. */
function mostUrgentFirst(findings: Weighed['findings']): string[] {
  const rank = ({ urgency, call }: Effect) => ['now', 'today', 'soon'].indexOf(urgency) * 2 + (call ? 0 : 1);
  return unique(findings.toSorted((a, b) => rank(a.effect) - rank(b.effect)).map(({ row }) => row.id));
}

function unique<T>(each: readonly T[]): T[] {
  return [...new Set(each)];
}
