// A text → the items of a circulation check: digits in a fixed order (`3 2 1 1 2`), X for not sure, or words.
import type { CirculationCheck } from '../model.ts';
import type { Unclear } from './unclear.ts';
import { isBlank, listOf, normalise, tokens } from './normalise.ts';
import { DANGER_NEAR_FROM, findPhrases, isNegated, toPhrases } from './phrases.ts';
import { LONGEST_ANSWER, type Heard } from './understand.ts';

/** `faint`: pale, sweaty or faint. `tense`: hard tight swelling, or pain when a free finger is straightened. */
export type CheckItem = 'refill' | 'otherRefill' | 'colour' | 'feeling' | 'pain' | 'cold' | 'faint' | 'tense';

/** What a helper told of a check in one text. */
export interface Counted {
  told: CirculationCheck;
  /** Items the helper could not tell. */
  unsure: CheckItem[];
  /** Whether the person is pale, sweaty or faint; asked only where both hands are slow. */
  faint?: boolean;
}

/** The order of the digits before the splint is on; afterwards pain comes too. */
export const BASELINE_ITEMS: CheckItem[] = ['refill', 'otherRefill', 'colour', 'feeling'];
export const CHECK_ITEMS: CheckItem[] = [...BASELINE_ITEMS, 'pain'];

/** Longest refill anybody counts, in seconds; more is a slip of the thumb. */
const LONGEST_REFILL = 60;

const CHOICES = {
  colour: ['normal', 'pale', 'blue'],
  feeling: ['same', 'less', 'none'],
  pain: ['less', 'same', 'more'],
  cold: ['no', 'both', 'one'],
  faint: ['yes', 'no'],
  tense: ['yes', 'no'],
} as const;

/** Takes a text as the answer to a check, or to the one item asked for `alone`. */
export function understandCheck(
  text: string,
  items: CheckItem[],
  alone: CheckItem | null,
  heard: Heard,
): { counted: Counted } | { unclear: Unclear } {
  const normal = normalise(text);
  if (isBlank(normal)) return { unclear: 'empty' };
  if (text.length > LONGEST_ANSWER) return { unclear: 'too-long' };
  if (hasRange(normal)) return { unclear: 'unread' };
  // Asked for one item, many send the whole check again.
  const again = valuesOf(normal, items.length, heard).filter(isValue).length === items.length;
  const asked = alone && !again ? [alone] : items;
  const values = valuesOf(normal, asked.length, heard);
  const numbers = values.filter(isValue);
  if (numbers.length > asked.length) return { unclear: asked.length === 1 ? 'one-only' : 'unread' };
  const worded = byWords(values, asked, heard);
  if ('unclear' in worded) return worded;
  const numbered = byNumbers(numbers, asked, worded.counted);
  if ('unclear' in numbered) return numbered;
  return join(numbered.counted, worded.counted);
}

function join(numbered: Counted, worded: Counted): { counted: Counted } | { unclear: Unclear } {
  const told = { ...numbered.told, ...worded.told };
  const unsure = [...new Set([...numbered.unsure, ...worded.unsure])];
  const faint = numbered.faint ?? worded.faint;
  const both = unsure.filter((item) => isTold(item, { told, unsure: [] }));
  if (both.length > 0 || speakAgainst(numbered, worded)) return { unclear: 'unread' };
  if (Object.keys(told).length + unsure.length === 0 && faint === undefined) return { unclear: 'unread' };
  return { counted: { told, unsure, ...(faint === undefined ? {} : { faint }) } };
}

function speakAgainst(numbered: Counted, worded: Counted): boolean {
  const fields = Object.keys(worded.told) as (keyof CirculationCheck)[];
  const other = fields.some(
    (field) => numbered.told[field] !== undefined && numbered.told[field] !== worded.told[field],
  );
  return (
    other || (worded.faint !== undefined && numbered.faint !== undefined && worded.faint !== numbered.faint)
  );
}

function isValue(token: string): boolean {
  return token === 'x' || /^\d/.test(token);
}

// "2-3" is no count. A whole check joined by dashes is no range.
function hasRange(normal: string): boolean {
  return /\d\s*[-–—]\s*\d/.test(normal) && !/^[\dx]+(\s*[-–—]\s*[\dx]+){2,}\W*$/.test(normal);
}

// "32112" and "3211x" are five answers run together, where five are asked for; "12" alone is twelve seconds. "3,x,2" is a list.
function valuesOf(normal: string, count: number, heard: Heard): string[] {
  const text = normal.replace(/\W+$/, '');
  if (count > 1 && text.length === count && /^[\dx]+$/.test(text)) return text.split('');
  if (/^[\dx]+(\s*,\s*[\dx]+){2,}$/.test(text)) return text.split(/\s*,\s*/);
  const names = listOf(heard)('heard.numbers');
  const said = tokens(normal);
  const mapped = said.map((word) => (names.includes(word) ? String(names.indexOf(word)) : word));
  return mapped.every(isValue) ? mapped : said;
}

// Digits fill the items in order. Beside words ("2 2 pink same") they fill what the words left open; as many as were
// asked for ("1 normal") stand for all, and must agree with the words.
function byNumbers(
  values: string[],
  asked: CheckItem[],
  worded: Counted,
): { counted: Counted } | { unclear: Unclear } {
  const open = values.length === asked.length ? asked : asked.filter((item) => !isTold(item, worded));
  const counted: Counted = { told: {}, unsure: [] };
  for (const [at, value] of values.entries()) {
    const item = open[at];
    if (!item) return { unclear: 'unread' };
    if (value === 'x') counted.unsure.push(item);
    else {
      const fault = takeNumber(counted, item, Number(value.replace(',', '.')));
      if (fault) return { unclear: fault };
    }
  }
  return { counted };
}

function isTold(item: CheckItem, counted: Counted): boolean {
  return (
    counted.unsure.includes(item) ||
    (item === 'faint' ? counted.faint !== undefined : counted.told[fieldOf(item)] !== undefined)
  );
}

function fieldOf(item: Exclude<CheckItem, 'faint'>): keyof CirculationCheck {
  return item;
}

function takeNumber(counted: Counted, item: CheckItem, value: number): Unclear | null {
  if (item === 'refill' || item === 'otherRefill') {
    if (value === 0) return 'zero';
    if (value > LONGEST_REFILL) return 'cannot-be';
    counted.told[item] = value;
    return null;
  }
  if (value === 0) return 'zero';
  const choice = CHOICES[item][value - 1];
  if (choice === undefined || !Number.isInteger(value)) return 'no-such-option';
  takeChoice(counted, item, choice);
  return null;
}

function takeChoice(
  counted: Counted,
  item: Exclude<CheckItem, 'refill' | 'otherRefill'>,
  choice: string,
): void {
  if (item === 'faint') counted.faint = choice === 'yes';
  else if (item === 'tense') counted.told.tense = choice === 'yes';
  else Object.assign(counted.told, { [item]: choice });
}

function byWords(
  said: string[],
  asked: CheckItem[],
  heard: Heard,
): { counted: Counted } | { unclear: Unclear } {
  const counted: Counted = { told: {}, unsure: [] };
  const words = said.filter((word) => !isValue(word));
  if (words.length === 0) return { counted };
  const [alone] = asked;
  if (alone && asked.length === 1 && findPhrases(words, toPhrases(alone, heard('heard.not-sure'))).length > 0)
    return { counted: { ...counted, unsure: [alone] } };
  const bare = words.length === 1 ? [] : heard('heard.bare');
  const choosable = asked.filter((item) => item !== 'refill' && item !== 'otherRefill');
  const phrases = choosable.flatMap((item) =>
    CHOICES[item].flatMap((choice) =>
      toPhrases(
        `${item}:${choice}`,
        heard(`heard.check.${item}.${choice}`).filter((text) => !bare.includes(text)),
        DANGER_NEAR_FROM,
      ),
    ),
  );
  const found = findPhrases(words, phrases);
  const negations = listOf(heard)('heard.negations');
  if (found.some((each) => isNegated(words, each, negations))) return { unclear: 'negated' };
  for (const { meaning } of found) {
    const [item, choice] = meaning.split(':') as [Exclude<CheckItem, 'refill' | 'otherRefill'>, string];
    if (found.some((other) => other.meaning !== meaning && other.meaning.startsWith(`${item}:`)))
      return { unclear: 'not-both' };
    takeChoice(counted, item, choice);
  }
  return { counted };
}
