// What was said, as Communications: the last texts between the helper and the program or a clinician.
import type { Communication, Reference } from 'fhir/r4.d.ts';
import { instantOf } from '../moments.ts';
import type { SaidText, Telling } from '../recorded.ts';
import { clean } from './parts.ts';

/** The last so many texts: about a page of them. */
const MOST_TEXTS = 20;

export function communicationsOf(telling: Telling, subject: Reference, program: Reference): Communication[] {
  const texts = telling.said.slice(-MOST_TEXTS).filter(({ text }) => text === null || text.trim() !== '');
  if (texts.length === 0) return [nothingKept(telling, subject)];
  return texts.map((text) => communicationOf(text, telling, subject, program));
}

function communicationOf(
  { at, by, text }: SaidText,
  telling: Telling,
  subject: Reference,
  program: Reference,
): Communication {
  // People are named by what they are: no name and no number leaves with the record.
  const helper: Reference = { display: telling.say('pages.duty.helper') };
  const clinician: Reference = { display: telling.say('pages.duty.clinician') };
  const sent = { sent: instantOf(telling, at) };
  const ways = {
    helper: { sender: helper, recipient: [program] },
    clinician: { sender: clinician, recipient: [helper] },
    palmward: { sender: program, recipient: [helper] },
  };
  const says =
    text === null
      ? { note: [{ text: telling.say('record.said.deleted') }] }
      : { payload: [{ contentString: clean(text) }] };
  return { resourceType: 'Communication', status: 'completed', subject, ...sent, ...ways[by], ...says };
}

function nothingKept(telling: Telling, subject: Reference): Communication {
  const text = telling.say(
    telling.case.endedAs === 'forgotten' ? 'record.fhir.no-texts' : 'record.said.nothing',
  );
  return { resourceType: 'Communication', status: 'unknown', subject, note: [{ text }] };
}
