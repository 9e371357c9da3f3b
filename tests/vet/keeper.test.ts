// A keeper changes the protocol without a line of code: a new injury, its question and its words, all of it YAML.
import { describe, expect, test } from 'vitest';
import type { Protocol } from '../../src/care/protocol.ts';
import { planFor } from '../../src/clinical/plan.ts';
import type { Asking } from '../../src/dialogue/context.ts';
import { begin, step } from '../../src/dialogue/machine.ts';
import { openProtocol } from '../../src/care/protocol.ts';
import type { SourceFile } from '../../src/model.ts';
import { versionOf } from '../../src/protocol-files.ts';
import { vet } from '../../src/vet/vet.ts';
import { changed, opened, SHIPPED } from './protocol-files.ts';

const POSITIONS = 'flows/positions.yaml';
const HAND = 'flows/hand.yaml';

/** A sign, a row, a question about it, and the words for both languages. */
function withFrostbite(): SourceFile[] {
  const edits: [string, string | RegExp, string][] = [
    [POSITIONS, '  - burn-all-round\n', '  - burn-all-round\n  - frozen\n'],
    [
      POSITIONS,
      '  - id: nothing\n',
      [
        '  - id: frostbite',
        "    row: '32'",
        '    says: A frozen forearm; the wrist straight.',
        '    source: [choice]',
        '    when: [{ region: [forearm], signs: [frozen] }]',
        '    position:',
        '      - { joint: wrist, extension: [0, 20], aim: 10, source: [choice] }',
        '    free: [fingers, thumb, elbow]',
        '    splints:',
        '      - { faces: [palmar, dorsal], from: forearm-two-thirds, to: palm-10mm-short-of-crease, digits: none }',
        '    urgency: today',
        '    call: true',
        '',
        '  - id: nothing',
        '',
      ].join('\n'),
    ],
    [HAND, /(?<=  forearm-look:[\s\S]*?)go: place-done/, 'go: frost'],
    [
      HAND,
      '  forearm-look:\n',
      [
        '  frost:',
        '    choose: one',
        '    answers:',
        '      - { n: 1, id: frozen, sets: { signs: [frozen] } }',
        '      - { n: 2, id: warm }',
        '    next:',
        '      - { go: place-done }',
        '',
        '  forearm-look:',
        '',
      ].join('\n'),
    ],
    [
      'locales/en/ask.yaml',
      /$/,
      'frost:\n  text: Was it out in hard frost, white and hard?\n  frozen: it was\n  warm: no frost\n',
    ],
    [
      'locales/es/ask.yaml',
      /$/,
      'frost:\n  text: ¿Estuvo en helada fuerte, blanca y dura?\n  frozen: sí estuvo\n  warm: no hubo helada\n',
    ],
    ['locales/en/heard.yaml', /$/, 'frost:\n  frozen: [frozen]\n  warm: [warm]\n'],
    ['locales/es/heard.yaml', /$/, 'frost:\n  frozen: [congelada]\n  warm: [templada]\n'],
    ['locales/en/plan.yaml', /^injury:\n/m, 'injury:\n  frostbite: frostbite\n'],
    ['locales/es/plan.yaml', /^injury:\n/m, 'injury:\n  frostbite: congelación\n'],
  ];
  return edits.reduce((files, [path, from, to]) => changed(files, path, from, to), SHIPPED);
}

/** Answers, by question, to the end of the tree; at a question not named, its last. */
function answered({ flow, machine }: Protocol, answers: Record<string, string[]>): Asking {
  let asking = begin(machine);
  while (asking.value !== flow.end) {
    const [part] = flow.questions.get(asking.value)?.parts ?? [];
    asking = step(machine, asking, answers[asking.value] ?? [`${part?.name}:${part?.answers.at(-1)?.id}`]);
  }
  return asking;
}

describe('a keeper who adds an injury and a question', () => {
  const files = withFrostbite();
  const protocol = opened(files);

  test('has the question asked, and the row in the plan', () => {
    const end = answered(protocol, {
      safe: ['choice:well'],
      skin: ['choice:whole'],
      where: ['place:forearm', 'side:left'],
      'forearm-look': ['choice:little'],
      frost: ['choice:frozen'],
    });
    expect(end.context.given.map(({ question }) => question)).toContain('frost');
    const plan = planFor({ ...end.context.findings, age: 'adult', material: 'sheet' }, protocol.rules);
    expect(plan.injuries).toContain('frostbite');
    expect(plan).toMatchObject({ urgency: 'today', call: true });
    expect(plan.position).toEqual([
      { joint: 'wrist', direction: 'extension', degrees: [0, 20], aim: 10, source: 'choice' },
    ]);
  });

  test('without that answer has the plan as before', () => {
    const answers = {
      safe: ['choice:well'],
      skin: ['choice:whole'],
      where: ['place:wrist', 'side:left'],
      'wrist-look': ['choice:sore'],
    };
    const before = answered(opened(SHIPPED), answers).context.findings;
    const after = answered(protocol, answers).context.findings;
    expect(planFor(after, protocol.rules)).toEqual(planFor(before, opened(SHIPPED).rules));
  });

  test('passes vet in tree, words and sources, under another version', { timeout: 120_000 }, () => {
    expect(versionOf(files)).not.toBe(versionOf(SHIPPED));
    expect(vet(protocol, files, ['tree', 'chance', 'words', 'sources']).faults).toEqual([]);
  });

  test('and forgets the words of one language, is told file and key', () => {
    const forgotten = changed(files, 'locales/es/ask.yaml', /frost:\n.*\n.*\n.*\n$/, '');
    const read = openProtocol(forgotten, versionOf(forgotten));
    expect(read).toMatchObject({ ok: false });
    expect(JSON.stringify(read)).toContain('key \\"ask.frost.text\\" is missing here');
  });

  test('and misspells the sign, is told what was probably meant', () => {
    const slip = changed(files, HAND, 'signs: [frozen]', 'signs: [frozn]');
    const read = openProtocol(slip, versionOf(slip));
    expect(JSON.stringify(read)).toContain('did you mean \\"frozen\\"?');
  });
});
