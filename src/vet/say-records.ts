// Says the handover of every plan that the tree leads to, with as much told as there can be: three texts at most, each one
// SMS part of the GSM alphabet, that hold every joint's degrees; and all of it in words for the sheet.
import type { Protocol } from '../care/protocol.ts';
import type { CheckRecord } from '../care/types.ts';
import type { Findings, Plan } from '../model.ts';
import { facilityTexts, MOST_TEXTS } from '../record/facility-texts.ts';
import { isbarOf } from '../record/isbar.ts';
import type { Telling } from '../record/recorded.ts';
import { tellIn } from '../record/tell.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';
import { longerSide, sampleCase, withPlan } from './sample-case.ts';

export interface SaidRecords {
  faults: string[];
  /** Texts of each handover. */
  texts: number[];
}

/** A day in December takes the most room. */
const AT = Date.UTC(2026, 11, 28, 22, 45);

export function sayRecords(
  plans: readonly { limb: Findings; plan: Plan }[],
  protocol: Protocol,
  language: string,
): SaidRecords {
  const said: SaidRecords = { faults: [], texts: [] };
  const side = longerSide(protocol, language);
  const base = fullest(protocol, language);
  for (const { limb, plan } of plans) {
    const about = `${language}: the handover of ${plan.injuries.join(' + ')}`;
    try {
      const findings: Findings = { sex: 'female', ...limb, side };
      const telling = { ...base, case: withPlan(base.case, findings, plan) };
      const texts = facilityTexts(telling);
      isbarOf(telling);
      said.texts.push(texts.length);
      said.faults.push(...faultsOf(texts, plan).map((fault) => `${about} ${fault}`));
    } catch (fault) {
      said.faults.push(`${about} cannot be said: ${fault instanceof Error ? fault.message : String(fault)}`);
    }
  }
  return said;
}

function faultsOf(texts: readonly string[], plan: Plan): string[] {
  const all = texts.join(' ');
  const measured = texts.map((text) => measure(foldForSms(text)));
  const untold = plan.position.filter(({ aim }) => !new RegExp(`\\b${Math.abs(aim)}\\b`).test(all));
  return [
    ...(texts.length > MOST_TEXTS ? [`takes ${texts.length} texts`] : []),
    ...(measured.some(({ parts }) => parts > 1) ? ['has a text that is longer than one message'] : []),
    ...(measured.some(({ encoding }) => encoding !== 'gsm7') ? ['has a sign outside the SMS alphabet'] : []),
    ...(plan.hold === 'as-planned' ? untold.map(({ joint }) => `leaves out the degrees of ${joint}`) : []),
  ];
}

// A failed check after one that told more, a call, and every fact told.
function fullest(protocol: Protocol, language: string): Telling {
  const of = sampleCase(protocol, language);
  const told = { refill: 10.5, otherRefill: 10.5, feeling: 'less', pain: 'more' } as const;
  const check: CheckRecord = {
    at: AT,
    told,
    verdict: {
      outcome: 'failed',
      call: true,
      recheck: null,
      reasons: ['feeling-less', 'pain-more', 'tense'],
    },
  };
  const call = {
    state: 'open' as const,
    urgency: 'today' as const,
    reasons: ['version-withdrawn'],
    openedAt: AT,
    ringing: null,
    tried: [],
    rounds: 0,
    acceptedBy: null,
  };
  return tellIn(
    {
      case: {
        ...of,
        material: 'household',
        fittedAt: AT,
        call,
        check: { reason: 'calendar', since: AT, times: 1, told, unsure: [], alone: null },
        facts: { tetanus: 'longer', hours: 'under-24', distance: 'half-day', nerves: 'little' },
      },
      protocol,
      history: {
        checks: [check, { ...check, at: AT + 1 }],
        plannedAt: AT,
        answeredAt: { hours: AT },
        calls: [{ at: AT, reason: 'version-withdrawn' }],
        heldSince: null,
        otherHandHurt: true,
        handedOn: [],
        watch: [],
      },
      said: [],
      handed: [],
      at: AT,
      utcOffset: 0,
    },
    language,
  );
}
