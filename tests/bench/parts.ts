// SMS parts from the first text to the plan, for usual injuries, in every language.
import { decideInbound } from '../../src/care/decide.ts';
import type { Protocol } from '../../src/care/protocol.ts';
import type { Case, Contact, Situation } from '../../src/care/types.ts';
import { NOT_SURE, type Question } from '../../src/dialogue/flow.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';

/** The answers by question; what is told alike of all of them stands in `USUAL`. */
type Answers = Record<string, string[]>;

const USUAL: Answers = { safe: ['well'], danger: ['none'], 'danger-more': ['none'], skin: ['whole'] };
const INJURIES: Record<string, Answers> = {
  'closed wrist': { where: ['wrist', 'right'], 'wrist-look': ['sore'] },
  "boxer's knuckle": {
    where: ['hand', 'right'],
    'hand-bone': ['little', 'neck'],
    'knuckle-look': ['sunken'],
  },
  'hanging fingertip': {
    where: ['finger', 'right'],
    which: ['middle', 'end-joint'],
    'tip-look': ['tip-hangs'],
  },
  'palm-side cut of a finger': {
    skin: ['deep'],
    where: ['finger', 'right'],
    'cut-side': ['palm'],
    'cut-bone': ['no-bone'],
    which: ['index', 'first'],
  },
  'jammed middle joint': {
    where: ['finger', 'right'],
    which: ['ring', 'middle-joint'],
    'middle-look': ['bone'],
    'was-out': ['never-out'],
  },
};

export interface Parts {
  language: string;
  injury: string;
  questions: number;
  /** Parts we send from the answer to the first text up to the plan's first text, and those of the whole plan. */
  toPlan: number;
  wholePlan: number;
}

export function measureParts(protocol: Protocol): Parts[] {
  return protocol.words.languages.flatMap((language) =>
    Object.entries(INJURIES).map(([injury, answers]) =>
      talk(protocol, language, injury, { ...USUAL, ...answers }),
    ),
  );
}

function talk(protocol: Protocol, language: string, injury: string, answers: Answers): Parts {
  const hear = listener(protocol, language);
  let { of, parts: toPlan } = hear('Hello');
  let questions = 0;
  for (; of.plan === null; questions += 1) {
    const answered = hear(answerTo(protocol, of, answers));
    if (answered.of.asking.context.given.length !== questions + 1)
      throw new Error(`${language}, ${injury}: the answer to "${of.question?.id}" was not taken`);
    of = answered.of;
    toPlan += answered.parts;
  }
  return { language, injury, questions, toPlan, wholePlan: hear(planWord(protocol, language)).parts };
}

/** Takes texts of one helper through the core, and gives back the case and the parts of the answer. */
function listener(protocol: Protocol, language: string) {
  let contact: Contact | null = null;
  let of: Case | null = null;
  let count = 0;
  return (text: string): { of: Case; parts: number } => {
    const known = { contact, cases: of ? [of] : [], contacts: contact ? [contact] : [] };
    const situation: Situation = { ...known, clinician: null, clinicians: [], nextNumber: 1 };
    const inbound = {
      id: String((count += 1)),
      address: 'sms:+12025550101',
      text,
      pictures: 0,
      language,
      at: 0,
    };
    const around = {
      at: 0,
      utcOffset: 0,
      current: protocol,
      protocolOf: () => protocol,
      language,
      sms: true,
      planLink: null,
    };
    const decision = decideInbound(situation, inbound, around);
    contact = decision.contacts.at(-1) ?? contact;
    of = decision.cases.at(-1) ?? of;
    if (!of) throw new Error('a first text opened no case');
    return { of, parts: decision.outgoing.reduce((sum, { text: sent }) => sum + partsOf(sent), 0) };
  };
}

const partsOf = (text: string): number => measure(foldForSms(text)).parts;

const planWord = ({ words }: Protocol, language: string): string =>
  words.list(language, 'heard.words.PLAN')[0]!;

// Written as the question offers it: numbers, and the language's own letters behind them.
function answerTo(protocol: Protocol, of: Case, answers: Answers): string {
  const question = protocol.flow.questions.get(of.question?.id ?? '');
  const ids = answers[question?.id ?? ''];
  if (!question || !ids) throw new Error(`no answer is laid down for question "${of.question?.id}"`);
  return ids.map((id) => written(protocol, of.language, question, id)).join(' ');
}

function written({ words }: Protocol, language: string, question: Question, id: string): string {
  if (id === NOT_SURE) return '0';
  const number = question.parts.flatMap(({ answers }) => answers).find((answer) => answer.id === id)?.n;
  return number === undefined ? words.list(language, `heard.${question.id}.${id}`)[0]! : String(number);
}
