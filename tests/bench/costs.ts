// SMS parts of one case from the first text to the end of its calendar, every check answered at once and good.
import type { CalendarName } from '../../src/model.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { isCheck, openBedside, type Bedside, type Sent } from '../care/bedside.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';

/** Numbers as the questions print them; letters are the first word understood for that answer, in each language. */
const WAYS: Record<CalendarName, (say: Letters) => string[]> = {
  finger: ({ side, tip }) => ['1', '6', '6', '1', `5 ${side}`, `3 ${tip}`, '6'],
  wrist: ({ side }) => ['1', '6', '6', '1', `2 ${side}`, '1'],
  limb: ({ side, middleJoint }) => ['1', '6', '6', '3', `5 ${side}`, '1', '2', `3 ${middleJoint}`],
};
const TO_THE_SPLINT = ['1 1 1 1', '4'];
const FIT_IS_GOOD = '8';
const GOOD = '1 1 1 1 2';
const DAYS = 7;
const WEEK_AFTER = 7;

interface Letters {
  side: string;
  tip: string;
  middleJoint: string;
}

export interface Costs {
  language: string;
  calendar: CalendarName;
  /** Times at which circulation is checked. */
  checks: number;
  /** SMS parts that the helper receives, from the first text to the splint on, and over the calendar's seven days. */
  toFitted: number;
  watch: number;
  /** Texts that the helper sends, each one part. */
  fromHelper: number;
  /** Parts to clinicians, where one ends the talk at once; 0 where the plan calls nobody. */
  toClinicians: number;
  /** Parts to the helper in each week after, until a clinician closes the case, and the texts that answer them. */
  weekAfter: number;
  weekAfterFromHelper: number;
}

export function measureCosts(): Costs[] {
  return PROTOCOL.words.languages.flatMap((language) =>
    (Object.keys(WAYS) as CalendarName[]).map((calendar) => followed(language, calendar)),
  );
}

function followed(language: string, calendar: CalendarName): Costs {
  const bedside = openBedside({ language });
  let fromHelper = 0;
  const helper = (text: string): void => {
    fromHelper += 1;
    bedside.helper(text);
  };
  helper(PROTOCOL.words.list(language, 'heard.greetings')[0]!);
  for (const text of WAYS[calendar](lettersOf(language))) helper(text);
  if (bedside.case().stage === 'preparing')
    for (const text of [...TO_THE_SPLINT, wordOf(language, 'DONE'), FIT_IS_GOOD]) helper(text);
  const { plan, stage, call } = bedside.case();
  if (plan?.calendar !== calendar || stage !== 'watching')
    throw new Error(`${language}, ${calendar}: the way led to ${stage}, ${plan?.calendar}`);
  if (call) for (const text of ['1', `${bedside.case().code} OVER`]) bedside.clinician('ada', text);
  const toFitted = partsTo('helper', bedside.sent);
  const before = bedside.sent.length;
  const checks = watchOut(bedside, helper, DAYS);
  const watch = partsTo('helper', bedside.sent.slice(before));
  const week = { sent: bedside.sent.length, heard: fromHelper };
  watchOut(bedside, helper, WEEK_AFTER);
  return {
    language,
    calendar,
    checks,
    toFitted,
    watch,
    fromHelper: week.heard,
    toClinicians: partsTo('ada', bedside.sent.slice(0, week.sent)),
    weekAfter: partsTo('helper', bedside.sent.slice(week.sent)),
    weekAfterFromHelper: fromHelper - week.heard,
  };
}

/** Answers each check as good and each question with its first answer, a minute at a time; gives back how many checks there were. */
function watchOut(bedside: Bedside, helper: (text: string) => void, days: number): number {
  let checks = 0;
  const answer = (): void => {
    if (!bedside.case().check) return;
    checks += 1;
    helper(GOOD);
  };
  answer();
  for (let minute = 0; minute < days * 1440; minute += 1) {
    if (bedside.after('1 min').some(isCheck)) answer();
    if (bedside.case().question) helper('1');
  }
  return checks;
}

function partsTo(to: string, sent: Sent[]): number {
  return sent
    .filter((each) => each.to === to)
    .reduce((sum, { text }) => sum + measure(foldForSms(text)).parts, 0);
}

function lettersOf(language: string): Letters {
  const first = (key: string) => PROTOCOL.words.list(language, `heard.${key}`)[0]!;
  return { side: first('where.right'), tip: first('which.tip'), middleJoint: first('which.middle-joint') };
}

function wordOf(language: string, word: string): string {
  return PROTOCOL.words.list(language, `heard.words.${word}`)[0]!;
}
