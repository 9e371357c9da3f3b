// Every single hurt place that the rows can tell apart: the words of each answer, and each answer not known.
import { placesOf } from '../clinical/facts.ts';
import { CAUSES, FACES, LEVELS, REGIONS } from '../clinical/findings.ts';
import type { ClinicalRules } from '../clinical/rules.ts';
import type { Condition } from '../clinical/rule-types.ts';
import type { Digit, Findings, Region, Site } from '../model.ts';

/** Every answer that one place can be given, field by field; the first of each is: not known. */
export interface Answers {
  limb: readonly Omit<Findings, 'sites'>[];
  digits: (region: Region) => readonly (Digit[] | undefined)[];
  level: readonly Site['level'][];
  broken: readonly Site['broken'][];
  wound: readonly Site['wound'][];
  face: readonly Site['face'][];
  cause: readonly (Site['cause'] | typeof NOBODY_KNOWS)[];
}

/** A cause that was asked for and that nobody knows: weighed otherwise than one that was never asked for. */
export const NOBODY_KNOWS = 'nobody-knows';

/** One place as it was chosen from the answers. */
export interface Chosen {
  limb: number;
  region: Region;
  digits: Digit[] | undefined;
  level: Site['level'];
  broken: Site['broken'];
  wound: Site['wound'];
  face: Site['face'];
  cause: Answers['cause'][number];
}

/** All words; causes that no row tells apart stand in for each other, and so do "broken" and "maybe broken". */
export function allAnswers(rules: ClinicalRules): Answers {
  return {
    limb: [{ age: 'child' }, { age: 'child', material: 'household' }, { age: 'adult', material: 'sheet' }],
    digits: digitsOf,
    level: [undefined, ...LEVELS],
    broken: [undefined, 'no'],
    wound: [undefined, 'none', 'shallow', 'deep'],
    face: [undefined, ...FACES],
    cause: [NOBODY_KNOWS, undefined, ...causeClasses(rules)],
  };
}

/** Fewer places, on which signs are tried in pairs: one finger, the plainest causes, no answer left out but the level. */
export function fewAnswers(): Answers {
  return {
    limb: [{ age: 'adult', material: 'sheet' }],
    digits: (region) =>
      digitsOf(region).filter(
        (digits) => digits?.[0] !== 'index' && digits?.[0] !== 'middle' && digits?.[0] !== 'little',
      ),
    level: [undefined, ...LEVELS],
    broken: [undefined, 'no'],
    wound: ['none', 'shallow', 'deep'],
    face: ['palmar', 'dorsal'],
    cause: ['fall', 'bite'],
  };
}

function digitsOf(region: Region): (Digit[] | undefined)[] {
  if (region === 'thumb') return [['thumb']];
  const fingers: Digit[][] = [['index'], ['middle'], ['ring'], ['little']];
  if (region === 'hand') return [undefined, ['thumb'], ...fingers];
  return region === 'finger' ? [undefined, ...fingers] : [undefined];
}

/** Every place that can be chosen. Whole skin has no face, and a forearm or wrist no level. */
export function* everyPlace(answers: Answers): Generator<Chosen> {
  for (const limb of answers.limb.keys())
    for (const region of REGIONS)
      for (const digits of answers.digits(region))
        for (const level of region === 'forearm' || region === 'wrist' ? [undefined] : answers.level)
          for (const broken of answers.broken)
            for (const cause of answers.cause)
              for (const wound of answers.wound)
                for (const face of wound === 'none' && cause !== 'burn' ? [undefined] : answers.face)
                  yield { limb, region, digits, level, broken, wound, face, cause };
}

/** The findings of a place, with these signs. */
export function findingsOf(
  { limb, cause, ...site }: Chosen,
  answers: Answers,
  signs: string[] = [],
): Findings {
  const told = cause === NOBODY_KNOWS ? { notKnown: ['cause'] } : { cause };
  return { ...answers.limb[limb], sites: [{ ...site, ...told, ...(signs.length > 0 ? { signs } : {}) }] };
}

function causeClasses(rules: ClinicalRules) {
  const conditions = conditionsOf(rules);
  const told = (cause: (typeof CAUSES)[number]) => {
    const bits = placesOf({ region: 'hand', cause }, { sites: [] })[0]?.bits[1] ?? 0;
    return conditions.map(({ allowed }) => ((bits & ~allowed[1]) === 0 ? '1' : '0')).join('');
  };
  return firsts(Map.groupBy(CAUSES, told));
}

/** Signs that every condition treats alike stand in for each other: one of each kind. */
export function signClasses(rules: ClinicalRules): string[] {
  const conditions = conditionsOf(rules);
  const told = (sign: string) => {
    const broken = placesOf({ region: 'hand', broken: 'no', signs: [sign] }, { sites: [] })[0]?.break;
    return [
      broken,
      ...conditions.flatMap(({ signs, without }) => [signs?.includes(sign), without?.includes(sign)]),
    ].join();
  };
  return firsts(Map.groupBy(rules.signs, told));
}

function firsts<T>(groups: Map<string, T[]>): T[] {
  return [...groups.values()].flatMap(([first]) => (first === undefined ? [] : [first]));
}

function conditionsOf({ rows }: ClinicalRules): Condition[] {
  return rows.flatMap(({ when, also }) => [...when, ...also.flatMap((part) => part.when)]);
}
