// The decisions: for a text that came in, for a timer that fell due, and for what the shell has to report of a case.
import { leadingCode } from '../dialogue/anytime.ts';
import { addressFor, caseOf, contactOf, decisionOf, fold, newDraft, type Surroundings } from './draft.ts';
import { concerns, receiveClinician } from './receive-clinician.ts';
import { keepPace } from './pace.ts';
import { receiveHelper } from './receive-helper.ts';
import type { Case, CaseEvent, Decision, Inbound, Situation, Timer } from './types.ts';

/** A text came in. */
export function decideInbound(situation: Situation, inbound: Inbound, around: Surroundings): Decision {
  const draft = newDraft(situation, around);
  const { clinician } = situation;
  if (!clinician) receiveHelper(draft, inbound);
  else
    switch (roleOf(situation, inbound)) {
      case 'clinician':
        receiveClinician(draft, clinician, inbound);
        break;
      case 'helper':
        receiveHelper(draft, inbound);
        break;
      case 'both':
        draft.outgoing.push({
          address: inbound.address,
          code: null,
          key: 'call.which-role',
          text: around.current.words.say(clinician.language, 'call.which-role', {
            codes: situation.cases.map(({ code }) => code).join(', '),
          }),
          from: 'palmward',
          until: null,
        });
    }
  keepPace(draft, inbound);
  return decisionOf(draft);
}

// A clinician's number that also has a case of its own is asked which is meant; a code in front says it.
function roleOf(situation: Situation, { text }: Inbound): 'clinician' | 'helper' | 'both' {
  const own = situation.contact?.open ?? [];
  const called = situation.cases
    .filter((each) => !own.includes(each.code) && concerns(each, situation.clinician?.id ?? ''))
    .map(({ code }) => code);
  if (leadingCode(text, called)) return 'clinician';
  if (own.length > 0) return called.length === 0 || leadingCode(text, own) ? 'helper' : 'both';
  return /^\s*new\s*$/i.test(text) ? 'helper' : 'clinician';
}

/** A timer fell due. */
export function decideTimer(situation: Situation, timer: Timer, around: Surroundings): Decision {
  return decideEvent(situation, timer.code, { kind: 'due', timer: timer.timer }, around);
}

/** Something happened to a case that no text and no timer tells: a lost delivery, a withdrawn version, the desk. */
export function decideEvent(
  situation: Situation,
  code: string,
  event: CaseEvent,
  around: Surroundings,
): Decision {
  const draft = newDraft(situation, around);
  const of = caseOf(draft, code);
  if (of && of.stage !== 'ended') fold(draft, of, event);
  return decisionOf(draft);
}

/** The gateway refuses texts to this case's helper, who told the carrier to stop them: as if they had told us. */
export function decideOptOut(situation: Situation, code: string, around: Surroundings): Decision {
  const draft = newDraft(situation, around);
  const of = caseOf(draft, code);
  const contact = of && contactOf(draft, of.contact);
  if (!of || !contact || contact.optedOut) return decisionOf(draft);
  draft.contacts.set(contact.address, { ...contact, optedOut: true });
  if (of.stage !== 'ended') fold(draft, of, { kind: 'opted-out' });
  return decisionOf(draft);
}

/** A record on its way to a facility. `textsOf` puts the case, as it stands within the transaction, in words. */
export interface HandingOn {
  code: string;
  /** E.164. Goes into the texts' address and nowhere else: the case and its events never hold it. */
  number: string;
  textsOf: (of: Case) => string[];
}

/** The desk hands a case's record on. An ended case stays as it is. */
export function decideHandingOn(
  situation: Situation,
  { code, number, textsOf }: HandingOn,
  around: Surroundings,
): Decision {
  const draft = newDraft(situation, around);
  const of = caseOf(draft, code);
  if (!of || of.stage === 'ended') return decisionOf(draft);
  const texts = textsOf(of);
  fold(draft, of, { kind: 'handed-on', parts: texts.length });
  for (const text of texts)
    draft.outgoing.push({
      address: addressFor(of, number, around.sms),
      code,
      key: 'handover',
      text,
      from: 'palmward',
      until: null,
    });
  return decisionOf(draft);
}
