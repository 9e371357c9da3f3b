// Reads what a form of the case's page asks for: an act, or why it is none. What only the case knows is decided with it.
import type { CaseEvent } from './case-view.ts';
import { LONGEST_WORDS, unitsOf } from './write-form.ts';

export type DeskAct = Extract<CaseEvent, { kind: 'desk' }>['act'];
export type ReadAct = { ok: true; act: DeskAct; text: string } | { ok: false; refusal: FormRefusal };
export type FormRefusal =
  'unknown-act' | 'no-words' | 'too-long' | 'no-reason' | 'no-clinician' | 'no-hours' | 'not-confirmed';

type Field = (name: string) => string;

export const PACES = ['closer', 'planned', 'wider'] as const;
export const OUTCOMES = ['healed', 'seen', 'handed-on', 'lost-contact'] as const;
/** Hours of a pause to choose from; what else is asked for by hand is bounded like them. */
export const PAUSES = [0.5, 1, 2, 4, 8, 12];
const LONGEST_REASON = 300;

export function readAct(field: Field, clinicians: readonly string[]): ReadAct {
  const read = READERS[field('do')];
  return read ? read(field, clinicians) : refused('unknown-act');
}

const refused = (refusal: FormRefusal): ReadAct => ({ ok: false, refusal });
const plain = (act: DeskAct): ReadAct => ({ ok: true, act, text: '' });

const READERS: Record<string, (field: Field, clinicians: readonly string[]) => ReadAct> = {
  take: () => plain({ do: 'take' }),
  'put-down': () => plain({ do: 'put-down' }),
  'check-now': () => plain({ do: 'check-now' }),
  resume: () => plain({ do: 'resume' }),
  pass: (field, clinicians) => {
    const to = field('to');
    return clinicians.includes(to) ? plain({ do: 'pass', to }) : refused('no-clinician');
  },
  write: (field) => {
    const text = wordsOf(field('text'));
    if (text === '') return refused('no-words');
    return unitsOf(text) > LONGEST_WORDS ? refused('too-long') : { ok: true, act: { do: 'write' }, text };
  },
  'hold-back': (field) => plain({ do: 'hold-back', on: field('on') === 'yes' }),
  'let-out': (field) => {
    const nth = Number(field('nth'));
    const isNumber = field('nth') !== '' && Number.isSafeInteger(nth) && nth >= 0;
    return isNumber ? plain({ do: 'let-out', nth, send: field('send') === 'yes' }) : refused('unknown-act');
  },
  'set-pace': (field) => {
    const pace = PACES.find((each) => each === field('pace'));
    if (!pace) return refused('unknown-act');
    return withReason(field, (reason) => ({ do: 'set-pace', pace, reason }));
  },
  pause: (field) => {
    const hours = Number(field('hours'));
    if (!PAUSES.includes(hours)) return refused('no-hours');
    return withReason(field, (reason) => ({ do: 'pause', hours, reason }));
  },
  conclude: (field) => {
    const outcome = OUTCOMES.find((each) => each === field('outcome'));
    if (!outcome) return refused('unknown-act');
    return field('sure') === 'yes' ? plain({ do: 'conclude', outcome }) : refused('not-confirmed');
  },
};

/** What is typed in a browser has its lines end in two signs. */
export const wordsOf = (text: string): string => text.replace(/\r\n?/g, '\n').trim();

function withReason(field: Field, act: (reason: string) => DeskAct): ReadAct {
  const reason = reasonOf(field);
  return reason === null ? refused('no-reason') : plain(act(reason));
}

/** Null without one. */
export function reasonOf(field: Field): string | null {
  return wordsOf(field('reason')).replace(/\s+/g, ' ').slice(0, LONGEST_REASON) || null;
}
