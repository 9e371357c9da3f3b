// Says everything else once, with sample values: questions, fixed texts and texts to clinicians are one message each.
import type { Protocol } from '../care/protocol.ts';
import type { Case, Filling } from '../care/types.ts';
import type { Plan } from '../model.ts';
import { longerSide, partsOf, said, sampleCase, withPlan } from './sample-case.ts';

/** Groups of the catalogue that are sent as they stand. Pages have room; the pieces of a plan are said as plans. */
const SENT = /^(talk|size|check|call|make|fit|care|unclear|plan[.]advice)[.]/;
/** Said with the plans: what is offered depends on what the plan holds. */
const FIT = 'fit';
/** Pieces of the texts to clinicians and of corrected plans, and the notice that goes into the first question. */
const PIECES = /^(care[.]set|call[.](urgency|reason|count|no-count|place-not-told)|talk[.]notice)/;

/** What may fill a gap: about as long as it gets. */
const SAMPLES: Record<string, Filling> = {
  code: 'B2B2',
  codes: 'B2B2, C3C3, D4D4',
  count: 3,
  minutes: 60,
  hours: 12,
  days: 10,
  tip: { key: 'check.tip.little' },
  from: 4,
  to: 6,
  name: 'Maximiliana Featherstone',
  text: 'Keep the arm level with the chest. Where are you now?',
  forearm: 20.5,
  palm: 10.5,
  off: 1.5,
  wrist: 18.5,
  upper: 26.5,
  percent: 100,
  offPercent: 15,
};

export function sayAll(protocol: Protocol, language: string, longest: Plan | undefined): string[] {
  const of = sampleOf(protocol, language, longest);
  const { flow, words } = protocol;
  const asked = [...flow.questions.keys(), ...flow.later.keys()]
    .filter((ask) => ask !== FIT)
    .map((ask) => ({
      name: `question "${ask}"`,
      saying: { ask },
    }));
  const fixed = words
    .keys()
    .filter((key) => SENT.test(key) && !PIECES.test(key))
    .map((key) => ({ name: `text "${key}"`, saying: { key, params: SAMPLES } }));
  return [...asked, ...fixed].flatMap(({ name, saying }) => {
    try {
      return said(of, saying, protocol, language)
        .filter(({ text }) => partsOf(text) > 1)
        .map(({ text }) => `${language}: ${name} is too long for one message: ${text}`);
    } catch (fault) {
      return [
        `${language}: ${name} cannot be said: ${fault instanceof Error ? fault.message : String(fault)}`,
      ];
    }
  });
}

/** A case with the longest side and place, an open call, and a count. */
function sampleOf(protocol: Protocol, language: string, plan: Plan | undefined): Case {
  const begun = sampleCase(protocol, language);
  const findings = { side: longerSide(protocol, language), sites: [{ region: 'forearm' as const }] };
  const of = plan ? withPlan(begun, findings, plan) : begun;
  const reasons = protocol.words.keys().filter((key) => key.startsWith('call.reason.'));
  const length = (key: string) => protocol.words.say(language, key).length;
  const [longest = ''] = reasons.toSorted((a, b) => length(b) - length(a));
  return {
    ...of,
    call: {
      state: 'open',
      urgency: 'today',
      reasons: [longest.slice('call.reason.'.length)],
      openedAt: 0,
      ringing: null,
      tried: [],
      rounds: 0,
      acceptedBy: null,
    },
    checks: [
      {
        at: 0,
        told: { refill: 10.5, otherRefill: 10.5 },
        verdict: { outcome: 'failed', call: true, recheck: null, reasons: [] },
      },
    ],
  };
}
