// The handover in words: Identify, Situation, Background, Assessment, Recommendation (Shahid and Thomas 2018, with
// "Identify" in front), for a page and for the sections of the FHIR document.
import { assessment } from './assessment.ts';
import { background } from './background.ts';
import { isSettled, dangersOf, reasonKey, suspectedOf, whereOf } from './findings.ts';
import { momentOf, zoneOf } from './moments.ts';
import { recommendation } from './recommendation.ts';
import type { Telling } from './recorded.ts';
import type { Row, Section } from './rows.ts';
import { urgencyOf } from './urgency.ts';

export function isbarOf(telling: Telling): Section[] {
  return [
    { key: 'identify', rows: identify(telling) },
    { key: 'situation', rows: situation(telling) },
    { key: 'background', rows: background(telling) },
    { key: 'assessment', rows: assessment(telling) },
    { key: 'recommendation', rows: recommendation(telling) },
  ];
}

function identify(telling: Telling): Row[] {
  const { say, case: of, at } = telling;
  return [
    ['case', of.code],
    ['program', say('record.program')],
    ['protocol', versionOf(telling)],
    ['made', say('record.time', { time: momentOf(telling, at), zone: zoneOf(telling) })],
  ];
}

function versionOf({ say, case: of, protocol: { signature } }: Telling): string {
  const { version } = of;
  return signature.state === 'signed'
    ? say('record.version.signed', { version, by: signature.by, on: signature.on })
    : say('record.version.unsigned', { version });
}

/** Reasons for calling a clinician that are told, the newest. */
const MOST_REASONS = 4;

function situation(telling: Telling): Row[] {
  const { say, case: of, history } = telling;
  const reasons = history.calls
    .slice(-MOST_REASONS)
    .map(({ at, reason }) =>
      say('record.called', { reason: say(`call.reason.${reasonKey(reason)}`), time: momentOf(telling, at) }),
    );
  return [
    ['where', whereOf(telling)],
    ['injuries', injuriesInWords(telling)],
    ...(of.plan ? [['urgency', say(`record.urgency.${urgencyOf(telling)}`)] as const] : []),
    ['called', reasons.join('; ') || say('record.none')],
    ['call', callInWords(telling)],
    ...endedRow(telling),
  ];
}

// How a clinician ended it; what ends by itself stands with what is open.
function endedRow({ say, case: { endedAs } }: Telling): Row[] {
  return OUTCOMES.includes(endedAs ?? '') ? [['ended', say(`record.ended.${endedAs}`)]] : [];
}
const OUTCOMES = ['healed', 'seen', 'handed-on', 'lost-contact'];

function injuriesInWords(telling: Telling): string {
  const { say, case: of } = telling;
  if (isSettled(telling)) return say('record.danger-first', { dangers: dangersOf(telling).join(', ') });
  if (!of.plan) return say('record.not-asked-yet');
  return suspectedOf(telling).join('; ') || say('record.no-injury');
}

function callInWords(telling: Telling): string {
  const { say, case: of } = telling;
  if (!of.call) return say('record.call.none');
  if (of.call.state === 'accepted') return say('record.call.accepted');
  return say('record.call.open', { time: momentOf(telling, of.call.openedAt) });
}
