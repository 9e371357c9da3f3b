// The files of flows/: opened as they are, and every slip in them told with its file, line and what was meant.
import { expect, test } from 'vitest';
import { openClinical } from '../../src/clinical/rules.ts';
import { FILES, RULES } from './rules-under-test.ts';

/** The faults after changing one text in one file, as a person reads them. */
function faultsAfter(path: string, change: (text: string) => string): string[] {
  const files = FILES.map((file) => (file.path === path ? { path, text: change(file.text) } : file));
  const read = openClinical(files);
  return read.ok ? [] : read.faults.map(({ file, line, message }) => `${file}:${line}: ${message}`);
}
const POSITIONS = 'flows/positions.yaml';

test('every row of the protocol is there', () => {
  const numbers = new Set(RULES.rows.map(({ row }) => row));
  const expected = Array.from({ length: 35 }, (_, at) => String(at + 1)).filter((row) => row !== '8');
  expect([...numbers].toSorted()).toEqual([...expected, '8a', '8b', '8c'].toSorted());
});

test('every source is named by some number or row, and every published one has a title', () => {
  const texts = FILES.filter(({ path }) => path !== 'flows/sources.yaml')
    .map(({ text }) => text)
    .join('\n');
  const idle = Object.keys(RULES.sources).filter((key) => !new RegExp(`[\\[ ]${key}[\\],]`).test(texts));
  expect(idle).toEqual([]);
});

test('a source is only called seen when it is published', () => {
  const claimed = Object.values(RULES.sources).filter(({ kind, seen }) => seen && kind !== 'published');
  expect(claimed).toEqual([]);
});

test('a missing file is a fault', () => {
  const read = openClinical(FILES.filter(({ path }) => path !== 'flows/watch.yaml'));
  expect(read).toEqual({
    ok: false,
    faults: [{ file: 'flows/watch.yaml', line: 1, message: 'this file is missing' }],
  });
});

test('YAML that cannot be parsed is a fault with its line', () => {
  const faults = faultsAfter(POSITIONS, (text) => text.replace('rows:', 'rows: ['));
  expect(faults[0]).toMatch(/^flows\/positions\.yaml:\d+: /);
});

test.each([
  [
    'an unknown source',
    'source: [boast-16, boast-7]',
    'source: [boast-61, boast-7]',
    '; did you mean "boast-16"?',
  ],
  [
    'an unknown joint',
    '{ joint: wrist, extension: [0, 20], aim: 15',
    '{ joint: wirst, extension: [0, 20], aim: 15',
    'cannot be "wirst"; did you mean "wrist"?',
  ],
  [
    'an unknown sign',
    'when: [{ signs: [ring-stuck] }]',
    'when: [{ signs: [ring-stuk] }]',
    'cannot be "ring-stuk"; did you mean "ring-stuck"?',
  ],
  [
    'an unknown region',
    'when: [{ region: [wrist], break',
    'when: [{ region: [wrsit], break',
    'cannot be "wrsit"',
  ],
  [
    'an unknown calendar',
    '    calendar: wrist\n    cautions: [never',
    '    calendar: wirst\n    cautions: [never',
    'cannot be "wirst"; did you mean "wrist"?',
  ],
  ['an unknown extent', 'from: past-elbow,', 'from: past-elbw,', 'did you mean "past-elbow"?'],
  [
    'an unknown field',
    '    urgency: today\n    call: true\n    calendar: limb\n    cautions: [sling, heart-level-not-higher]',
    '    urgancy: today\n    call: true\n    calendar: limb\n    cautions: [sling, heart-level-not-higher]',
    'unknown field "urgancy" in rows[1]; did you mean "urgency"? (row "forearm-break")',
  ],
  [
    'a row that replaces nothing',
    'replaces: [middle-joint]',
    'replaces: [midle-joint]',
    'row "middle-joint-was-out": it replaces "midle-joint", which does not exist; did you mean "middle-joint"?',
  ],
  [
    'an aim at the edge',
    'extension: [0, 20], aim: 15,',
    'extension: [0, 20], aim: 18,',
    'the aim must keep 5 degrees from the edges',
  ],
  [
    'degrees beyond a hand',
    'extension: [0, 20], aim: 15,',
    'extension: [0, 120], aim: 15,',
    'wrist normally moves from -70 to 80',
  ],
  [
    'two directions',
    'extension: [0, 20], aim: 15,',
    'extension: [0, 20], flexion: [0, 20], aim: 15,',
    'wrist needs one of flexion, extension and abduction',
  ],
  ['an id used twice', 'id: forearm-break', 'id: wrist-break', 'row "wrist-break": this id is used twice'],
  [
    'a splint the wrong way round',
    'from: past-elbow, to: palm-10mm-short-of-crease',
    'from: fingertips, to: past-elbow',
    'a splint from "fingertips" cannot end at "past-elbow"',
  ],
])('%s is a fault at its line', (_, from, to, message) => {
  const faults = faultsAfter(POSITIONS, (text) => text.replace(from, to));
  expect(faults.join('\n')).toContain(message);
  const text = FILES.find(({ path }) => path === POSITIONS)!.text;
  const line = text.slice(0, text.indexOf(from)).split('\n').length;
  expect(faults.some((fault) => fault.startsWith(`${POSITIONS}:${line}: `))).toBe(true);
});

test.each([
  ['flows/watch.yaml', 'at: 10 min', 'at: ten minutes', 'steps[1]'],
  ['flows/watch.yaml', 'night: rings', 'night: ring', 'did you mean "rings"?'],
  ['flows/circulation.yaml', 'cutOff:', 'cutoff:', 'unknown field "cutoff"; did you mean "cutOff"?'],
  ['flows/sources.yaml', 'kind: published', 'kind: publshed', 'did you mean "published"?'],
  [POSITIONS, 'tendons: [terminal-slip]', 'tendons: [terminal-slp]', 'did you mean "terminal-slip"?'],
  [POSITIONS, '    tendons: [terminal-slip]\n', '', '"cut: own" needs "tendons"'],
  [POSITIONS, '    cut: own\n', '', '"tendons" needs "cut"'],
  ['flows/tendons.yaml', 'mm: 10.1', 'mm: -10.1', 'arms[1].mm'],
  [
    'flows/tendons.yaml',
    'joint: thumb.ip, digits: [thumb]',
    'joint: thumb.ip, digits: [index]',
    'goes with the thumb',
  ],
  ['flows/tendons.yaml', 'source: [ketchum-1978]', 'source: [ketchum-1987]', 'did you mean "ketchum-1978"?'],
])('%s: %s written as %s is a fault', (path, from, to, message) => {
  expect(faultsAfter(path, (text) => text.replace(from, to)).join('\n')).toContain(message);
});
