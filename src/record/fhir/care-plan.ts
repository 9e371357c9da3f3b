// The plan as a CarePlan: every held joint with its degrees, the splint, when to be seen, the next check.
import type { CarePlan, CarePlanActivity, CarePlanActivityDetail, Reference } from 'fhir/r4.d.ts';
import { instantOf } from '../moments.ts';
import { correctionsInWords } from '../changes.ts';
import { nextCheckOf } from '../next-check.ts';
import { flagsOf, holdOf, positionRows, seenByOf, splintInWords } from '../recommendation.ts';
import type { Telling } from '../recorded.ts';
import { clean, inWords } from './parts.ts';

export interface Around {
  subject: Reference;
  author: Reference;
  conditions: Reference[];
}

export function carePlanOf(telling: Telling, { subject, author, conditions }: Around): CarePlan {
  const { say, case: of, history } = telling;
  const activity = [...positions(telling), ...splints(telling), ...toBeSeen(telling), ...nextCheck(telling)];
  const flags = flagsOf(telling).map((flag) => say(`record.flag.${flag}`));
  const corrected = correctionsInWords(telling).map(clean);
  return {
    resourceType: 'CarePlan',
    status: statusOf(telling),
    intent: 'plan',
    title: say('record.fhir.plan'),
    description: say(`record.hold.${holdOf(of.plan)}`),
    subject,
    created: instantOf(telling, history.plannedAt ?? of.openedAt),
    author,
    ...(conditions.length > 0 ? { addresses: conditions } : {}),
    ...(activity.length > 0 ? { activity } : {}),
    note: [...corrected, ...flags, say('record.decides')].map((text) => ({ text })),
  };
}

function statusOf({ case: { plan, stage } }: Telling): CarePlan['status'] {
  if (stage === 'ended') return 'completed';
  return plan ? 'active' : 'draft';
}

function activityOf(detail: CarePlanActivityDetail): CarePlanActivity {
  return { detail };
}

function positions(telling: Telling): CarePlanActivity[] {
  const { say } = telling;
  return positionRows(telling).map(({ cells: [joint = '', motion = '', range = '', aim = ''] }) =>
    activityOf({
      status: progressOf(telling),
      code: inWords(joint),
      description: `${motion}: ${range}, ${say('record.position.aim').toLowerCase()} ${aim}`,
    }),
  );
}

function progressOf({ case: { fittedAt } }: Telling): CarePlanActivityDetail['status'] {
  return fittedAt === null ? 'not-started' : 'in-progress';
}

function splints(telling: Telling): CarePlanActivity[] {
  const { say, case: of } = telling;
  return (of.plan?.splints ?? []).map((splint) =>
    activityOf({
      status: progressOf(telling),
      code: inWords(say('record.row.splint')),
      description: splintInWords(splint, telling),
    }),
  );
}

function toBeSeen(telling: Telling): CarePlanActivity[] {
  const by = seenByOf(telling);
  if (by === null) return [];
  return [
    activityOf({
      status: telling.case.facts['seen'] === 'seen' ? 'completed' : 'scheduled',
      code: inWords(telling.say('record.row.seen')),
      scheduledPeriod: { end: instantOf(telling, by) },
    }),
  ];
}

function nextCheck(telling: Telling): CarePlanActivity[] {
  const next = nextCheckOf(telling.case);
  if (next === null) return [];
  return [
    activityOf({
      status: 'scheduled',
      code: inWords(telling.say('record.checks.caption')),
      scheduledPeriod: { start: instantOf(telling, next) },
    }),
  ];
}
