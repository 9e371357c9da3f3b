// A case to say things about: begun now, and whatever it is given.
import type { Protocol } from '../care/protocol.ts';
import { speak, type Spoken } from '../care/speak.ts';
import { turn } from '../care/turn.ts';
import type { Case, Saying, StoredEvent } from '../care/types.ts';
import type { Findings, Plan, Side } from '../model.ts';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';

/** A case as it stands after its first question. */
export function sampleCase(protocol: Protocol, language: string): Case {
  const opened: StoredEvent = {
    kind: 'opened',
    code: 'B2B2',
    number: 1,
    contact: 'phone:+12025550101',
    language,
    version: protocol.version,
    at: 0,
    utcOffset: 0,
    rota: [],
  };
  return turn(null, opened, protocol).case;
}

/** The same case with these findings and their plan, at the end of the tree. */
export function withPlan(of: Case, findings: Findings, plan: Plan): Case {
  const context = { ...of.asking.context, named: true, findings };
  return { ...of, asking: { value: of.asking.value, context }, findings, plan };
}

/** About as long as an address gets. */
const SAMPLE_LINK = 'https://palmward.clinic.example.org/p/B2B2-0123456789abcdefghijkl';

/** What is said of a case, as the helper gets it. */
export function said(of: Case, saying: Saying, protocol: Protocol, language: string): Spoken[] {
  const clinician = { id: 'c', name: 'Maximiliana Featherstone', number: '+12025550190', language, place: 1 };
  return speak([saying], {
    language,
    protocol,
    case: of,
    clinician,
    withCode: false,
    planLink: () => SAMPLE_LINK,
  });
}

/** The side that takes more room in a language. */
export function longerSide({ words }: Protocol, language: string): Side {
  const length = (side: Side) => words.say(language, `plan.side.${side}`).length;
  return length('left') > length('right') ? 'left' : 'right';
}

export function partsOf(text: string): number {
  return measure(foldForSms(text)).parts;
}
