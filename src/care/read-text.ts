// A helper's text in one case → the event it is: an answer, a count, a word, or why it is none of these.
import { anytimeWord } from '../dialogue/anytime.ts';
import type { Question } from '../dialogue/flow.ts';
import { listOf, wordsOf } from '../dialogue/normalise.ts';
import { DANGER_NEAR_FROM, findPhrases, isNegated, toPhrases } from '../dialogue/phrases.ts';
import { BASELINE_ITEMS, CHECK_ITEMS, understandCheck } from '../dialogue/understand-check.ts';
import { understandSize } from '../dialogue/understand-size.ts';
import { understand, type Heard } from '../dialogue/understand.ts';
import type { Unclear } from '../dialogue/unclear.ts';
import { isFirstCount, offeredAnswers, SIZE, SPLINT_ON } from './asked.ts';
import { once, onceEach } from '../wording/memo.ts';
import type { Protocol } from './protocol.ts';
import type { Case, CaseEvent } from './types.ts';

/** Reads a text as this case would take it now. */
export function readText(of: Case, text: string, pictures: number, protocol: Protocol): CaseEvent {
  const read = readPlainly(of, text, pictures, protocol);
  if (read.kind !== 'unclear' || !COULD_BE_ALARM.includes(read.why)) return read;
  const alarm = alarmIn(text, (key) => protocol.words.list(of.language, key));
  return alarm ? { kind: 'alarm', of: alarm } : read;
}

const COULD_BE_ALARM: Unclear[] = ['unread', 'nothing-asked', 'not-on-yet', 'before', 'too-long'];

function alarmIn(text: string, heard: Heard): 'bleeding' | 'flow' | 'worse' | 'ring' | 'person' | null {
  const said = wordsOf(text);
  const negations = listOf(heard)('heard.negations');
  const kinds = ['bleeding', 'flow', 'worse', 'ring', 'person'] as const;
  const phrases = kinds.flatMap((kind) => toPhrases(kind, heard(`heard.alarm.${kind}`), DANGER_NEAR_FROM));
  const found = findPhrases(said, phrases).filter((each) => !isNegated(said, each, negations));
  return kinds.find((kind) => found.some(({ meaning }) => meaning === kind)) ?? null;
}

function readPlainly(of: Case, text: string, pictures: number, protocol: Protocol): CaseEvent {
  const heard = heardIn(of.language, protocol);
  const word = anytimeWord(text, heard);
  if (word) return { kind: 'word', word };
  if (pictures > 0 && text.trim() === '') return { kind: 'unclear', why: 'picture' };
  if (of.check) return readCount(of, text, heard);
  if (of.question?.id === SIZE) return readSize(text, heard);
  const question = questionOf(of, protocol);
  if (!question)
    return { kind: 'unclear', why: of.question?.id === SPLINT_ON ? 'not-on-yet' : 'nothing-asked' };
  const read = understand(question, text, heard, offeredAnswers(of));
  if ('answers' in read) return { kind: 'answered', question: question.id, answers: read.answers };
  return {
    kind: 'unclear',
    why: answersTheOneBefore(of, text, read.unclear, heard, protocol) ? 'before' : read.unclear,
  };
}

/** The words understood in a language: those listed, and the answers' own labels. One and the same each time it is asked for. */
export function heardIn(language: string, { words }: Protocol): Heard {
  return heardBy(words)(language);
}

const heardBy = once((words: Protocol['words']) =>
  onceEach((language): Heard =>
    onceEach((key) => {
      const label = key.replace(/^heard[.]/, 'ask.');
      const listed = words.list(language, key);
      return label.startsWith('ask.') && words.has(label) ? [...listed, words.say(language, label)] : listed;
    }),
  ),
);

function questionOf(of: Case, protocol: Protocol): Question | undefined {
  const id = of.question?.id ?? '';
  return protocol.flow.questions.get(id) ?? protocol.flow.later.get(id);
}

function readSize(text: string, heard: Heard): CaseEvent {
  const read = understandSize(text, heard);
  return 'measure' in read
    ? { kind: 'sized', measure: read.measure }
    : { kind: 'unclear', why: read.unclear };
}

function readCount(of: Case, text: string, heard: Heard): CaseEvent {
  const items = of.check && isFirstCount(of.check) ? BASELINE_ITEMS : CHECK_ITEMS;
  const read = understandCheck(text, items, of.check?.alone ?? null, heard);
  return 'counted' in read
    ? { kind: 'counted', counted: read.counted }
    : { kind: 'unclear', why: read.unclear };
}

// A text that says nothing here, but answers the question before: two texts crossed on the way.
function answersTheOneBefore(
  of: Case,
  text: string,
  why: Unclear,
  heard: Heard,
  protocol: Protocol,
): boolean {
  if (of.stage !== 'asking' || (why !== 'unread' && why !== 'no-such-option')) return false;
  const before = protocol.flow.questions.get(of.asking.context.given.at(-1)?.question ?? '');
  return before !== undefined && 'answers' in understand(before, text, heard);
}
