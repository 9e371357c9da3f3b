// The words of the sheet: ISBAR in order, what is open, held joints alike together, the plot, and that every word is used.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { judge } from '../../src/clinical/circulation.ts';
import { freeIn, heldIn, nameOf } from '../../src/record/held.ts';
import { isbarOf } from '../../src/record/isbar.ts';
import { openMatters } from '../../src/record/open-matters.ts';
import { refillPlot } from '../../src/record/refill-plot.ts';
import { codeOf } from '../../src/record/codes.ts';
import type { Telling } from '../../src/record/recorded.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { STORIES, telling } from './stories.ts';

const WRIST_STORY = 'a wrist with a failed check, after one that loosened';

function rowsOf(of: Telling): Record<string, string> {
  return Object.fromEntries(isbarOf(of).flatMap(({ rows }) => rows));
}

test('the wrist that failed: who, what, when, why, and what is to be done', () => {
  expect(rowsOf(telling(STORIES[WRIST_STORY]!()))).toMatchObject({
    case: 'B2B2',
    where: 'right wrist',
    injuries: 'maybe broken wrist',
    urgency: 'now',
    called: 'circulation check failed (Jan 5, 11:20)',
    call: 'with a clinician on duty',
    age: 'adult',
    skin: 'whole',
    count: '4 s, other hand 1 s, at Jan 5, 11:20: failed',
    loosened: 'Jan 5, 11:10: refill over the limit',
    splint: 'palm side, from 2/3 up the forearm to 1 cm short of the palm fold; card, stick or magazine',
    since: 'Jan 5, 11:00',
    seen: 'at once',
    stay: '4 to 6 weeks; only a clinician ends it',
    told: expect.stringContaining('Open all straps and come in'),
  });
});

test('where a danger settled the plan, what was assumed for safety is not told as suspected', () => {
  const rows = rowsOf(telling(STORIES['a bone that sticks out, told as a danger at once']!()));
  expect(rows['injuries']).toBe('a danger was told, and nothing more was asked: bone or object out');
});

test('an answer that a keeper added is told as its question prints it', () => {
  const of = telling(STORIES[WRIST_STORY]!());
  const facts = { tetanus: 'ten-years', hours: 'under-6', distance: 'asked' };
  const words = {
    ...of.protocol.words,
    has: (key: string) => key === 'ask.tetanus.ten-years' || PROTOCOL.words.has(key),
  };
  const say: Telling['say'] = (key, params) =>
    key === 'ask.tetanus.ten-years' ? 'ten years ago' : of.say(key, params);
  const rows = rowsOf({ ...of, say, protocol: { ...of.protocol, words }, case: { ...of.case, facts } });
  expect(rows).toMatchObject({
    tetanus: 'ten years ago',
    hours: 'less than 6 hours before Jan 5, 11:00',
    distance: 'not told',
  });
});

test('several places are told place by place', () => {
  const rows = rowsOf(telling(STORIES['two cuts, on a wrist and a finger']!()));
  expect(rows['where']).toBe('right wrist + middle finger');
  expect(rows['skin']).toBe('wrist: deep wound, palm side; middle finger: deep wound, back');
});

test('what is open is told: the call, the question, and that nobody saw the hand', () => {
  const open = openMatters(telling(STORIES['an open break of a finger']!()));
  expect(open[0]).toBe('A call to a clinician is open, and nobody has taken it.');
  expect(open.at(-1)).toBe('Nobody has said that a clinician saw the hand.');
});

test('fingers held alike are told together, and those held otherwise apart', () => {
  const of = telling(STORIES['a burn of the back of the hand']!());
  const names = heldIn(of.case.plan!).map((held) => nameOf(held, of.say));
  expect(names).toEqual(['wrist', 'all fingers MCP', 'all fingers PIP', 'all fingers DIP']);
  const apart = heldIn({
    ...of.case.plan!,
    position: of.case.plan!.position.map((held) => (held.joint === 'ring.mcp' ? { ...held, aim: 60 } : held)),
  });
  expect(apart.map(({ digits, aim }) => [digits.length, aim])).toContainEqual([1, 60]);
});

test('a digit that moves in all its joints is named as a whole', () => {
  const { say, case: of } = telling(STORIES['a mallet finger of a grown-up']!());
  expect(
    freeIn({ ...of.plan!, free: ['wrist', 'thumb.cmc', 'thumb.mcp', 'thumb.ip', 'ring.pip'] }, say),
  ).toBe('wrist, thumb, ring finger PIP');
});

test('the plot draws each count of both hands and the limit that the checks were judged by', () => {
  const svg = refillPlot(telling(STORIES[WRIST_STORY]!()))!;
  // Three counts of either hand, and one point of each in the key.
  expect(svg.match(/<circle [^>]*class="paper"/g)).toHaveLength(4);
  expect(svg.match(/<circle /g)).toHaveLength(8);
  expect(svg).toContain('with the limit of 2 s');
  expect(svg).not.toMatch(/NaN|style=|<script/);
  expect(refillPlot(telling(STORIES['questions still being asked']!()))).toBeNull();
});

test('the words for reasons cover every reason that a check can give', () => {
  const told = [undefined, 1, 4, 11].flatMap((refill) =>
    [undefined, 1, 4].flatMap((otherRefill) =>
      (['no', 'both', 'one'] as const).flatMap((cold) =>
        (['same', 'less', 'none', 'cannot-tell'] as const).flatMap((feeling) =>
          (['pale', 'blue', undefined] as const).map((colour) => ({
            refill,
            otherRefill,
            cold,
            feeling,
            colour,
          })),
        ),
      ),
    ),
  );
  const reasons = told.flatMap((check) => [
    ...judge(check, PROTOCOL.rules).reasons,
    ...judge({ ...check, pain: 'more', tense: true, stretchPain: true, loosenedBefore: true }, PROTOCOL.rules)
      .reasons,
  ]);
  const missing = [...new Set(reasons)].filter((reason) => !PROTOCOL.words.has(`record.reason.${reason}`));
  expect(new Set(reasons).size).toBeGreaterThan(12);
  expect(missing).toEqual([]);
});

test('every sign of the protocol has a word', () => {
  expect(PROTOCOL.rules.signs.filter((sign) => !PROTOCOL.words.has(`record.sign.${sign}`))).toEqual([]);
});

test('places that fit two codes of one row get neither', () => {
  const { codes } = PROTOCOL.rules;
  const code = (...regions: ('wrist' | 'finger' | 'hand')[]) =>
    codeOf(
      'open-break',
      regions.map((region) => ({ region })),
      codes,
    )?.code;
  expect(code('wrist')).toBe('S52.5');
  expect(code('finger')).toBe('S62.6');
  expect(code('wrist', 'finger')).toBeUndefined();
  expect(codeOf('burn-back', [{ region: 'hand' }], codes)).toBeNull();
});

/** Named by what the case holds: a place, a cause, a sign, an answer, a state. */
const NAMED_BY_DATA =
  /^record[.](side|urgency|age|sex|hours|cause|skin|face|tetanus|distance|outcome|feeling|pain|nerves|reason|sign|hold|face-of-splint|material|joint|direction|flag|row|section|plot|checks|position|said|send|fhir[.](hand|colours)|text[.](urgency|hours|skin|tetanus|distance|outcome|joint|direction|flag|lies|free|conflict|signed|unsigned))[.]/;

test('every other word of the handover is said somewhere in the code', () => {
  const code = readdirSync('src', { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => readFileSync(join('src', name), 'utf8'))
    .join('\n');
  const keys = PROTOCOL.words
    .keys()
    .filter((key) => key.startsWith('record.') && !NAMED_BY_DATA.test(`${key}.`));
  expect(keys.length).toBeGreaterThan(20);
  expect(
    keys.filter((key) => !code.includes(key) && !code.includes(`${key.slice(0, key.lastIndexOf('.'))}.$`)),
  ).toEqual([]);
});
