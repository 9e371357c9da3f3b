// Says every plan that the tree leads to, in a language: three texts at most, each one message, and none of them asks
// for a movement of a digit whose tendon is assumed cut.
import { currentAsk } from '../care/asked.ts';
import type { Protocol } from '../care/protocol.ts';
import type { Case } from '../care/types.ts';
import type { Digit, Findings, Plan } from '../model.ts';
import { longerSide, partsOf, said, sampleCase, withPlan } from './sample-case.ts';

export interface SaidPlans {
  faults: string[];
  /** Texts, and SMS parts, of each plan. */
  texts: number[];
  parts: number[];
}

/** Three where one place is hurt; several that need long words take more, and bring in a person. */
const MOST_PLAN_TEXTS = 5;
/** Texts and pieces that ask for a movement, of the digits that they name or of all. */
const MOVES = ['plan.hold.knuckles-table', 'plan.advice.bend-the-end-joint-daily', 'plan.free', 'care.move'];

/** `plans`: each with findings that lead to it; told once for each plan and each naming of its places. */
export function sayPlans(
  plans: readonly { limb: Findings; plan: Plan }[],
  protocol: Protocol,
  language: string,
): SaidPlans {
  const all: SaidPlans = { faults: [], texts: [], parts: [] };
  const begun = sampleCase(protocol, language);
  const side = longerSide(protocol, language);
  for (const { limb, plan } of plans) {
    const told = said(withPlan(begun, { ...limb, side }, plan), { plan: 'all' }, protocol, language).map(
      ({ text }) => text,
    );
    const about = `${language}: ${plan.injuries.join(' + ')}`;
    all.texts.push(told.length);
    all.parts.push(told.reduce((sum, text) => sum + partsOf(text), 0));
    if (told.length > MOST_PLAN_TEXTS) all.faults.push(`${about}: the plan takes ${told.length} texts`);
    for (const text of [...told, ...fitTexts(withPlan(begun, { ...limb, side }, plan), protocol, language)])
      if (partsOf(text) > 1) all.faults.push(`${language}: too long for one message: ${text}`);
    for (const text of told)
      for (const key of movesNamed(text, plan, protocol, language))
        all.faults.push(`${about}: a digit assumed cut is asked to move ("${key}"): ${text}`);
  }
  return all;
}

function fitTexts(of: Case, protocol: Protocol, language: string): string[] {
  if (of.plan?.hold !== 'as-planned') return [];
  const asked = { ...of, question: { id: 'fit', since: 0, times: 1 } };
  return currentAsk(asked).flatMap((saying) =>
    said(asked, saying, protocol, language).map(({ text }) => text),
  );
}

function movesNamed(text: string, plan: Plan, { words }: Protocol, language: string): string[] {
  if (plan.cutDigits.length === 0) return [];
  const say = (key: string, params?: Record<string, string>) => words.say(language, key, params);
  const names = [
    say('plan.all-fingers'),
    ...plan.cutDigits.map((digit: Digit) => say(`plan.digit.${digit}`)),
  ];
  return MOVES.filter((key) => words.has(key)).filter((key) => {
    // The gap stands between what comes before and after it; a text without one speaks of every digit.
    const [before = '', after] = say(key, { digits: '\n' }).split('\n');
    if (after === undefined) return text.includes(before);
    const at = text.indexOf(before);
    const end = at < 0 ? -1 : text.indexOf(after, at + before.length);
    return end >= 0 && names.some((name) => text.slice(at + before.length, end).includes(name));
  });
}
