// Whatever stands in the environment, in flows/ or in locales/: either it is read, or each fault is told by name or line.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openProtocol } from '../../src/care/protocol.ts';
import { readCheck } from '../../src/clinical/circulation.ts';
import { readFindings } from '../../src/clinical/findings.ts';
import type { SourceFile } from '../../src/model.ts';
import { readProtocolFiles } from '../../src/protocol-files.ts';
import { readSettings } from '../../src/settings.ts';

const SPAN = { interruptAfterTimeLimit: 2000, numRuns: 2000, markInterruptAsFailure: false };
const SHIPPED = readProtocolFiles();
const SETTINGS = [
  'PORT',
  'HOST',
  'PUBLIC_URL',
  'DATA_DIR',
  'DATABASE_URL',
  'TWILIO_ACCOUNT_SID',
  'TWILIO_AUTH_TOKEN',
  'TWILIO_FROM',
  'TWILIO_MESSAGING_SERVICE_SID',
  'TWILIO_API_URL',
  'TIME_SPEED',
  'TIME_ZONE',
  'LANGUAGE_DEFAULT',
  'SERVE_UNREVIEWED',
  'HEARTBEAT_URL',
  'SPEND_CAP_PARTS_PER_DAY',
  'NEW_CASES_PER_HOUR',
  'METRICS_PUBLIC',
];

test('any environment', () => {
  const value = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 30 }),
    fc.webUrl(),
    fc.constantFrom(
      'yes',
      '0',
      '-1',
      '1e9',
      'Infinity',
      '0x10',
      ' ',
      'http://[::1]',
      'https://a.test/?#',
      'postgres://',
      'AC1',
      'MG1',
      '+1',
      'en',
      'UTC',
      'Etc/GMT+99',
      '__proto__',
    ),
  );
  fc.assert(
    fc.property(fc.dictionary(fc.constantFrom(...SETTINGS), value), (env) => {
      const read = readSettings(env);
      if ('settings' in read) {
        expect(Object.isFrozen(read.settings)).toBe(true);
        return;
      }
      expect(read.faults.length).toBeGreaterThan(0);
      for (const fault of read.faults) expect(fault).toMatch(/^[A-Z][A-Z_]+ \S/);
    }),
    SPAN,
  );
});

/** One thing that a hand, an editor or a bad copy does to a file. */
const slip = fc.record({
  file: fc.nat(SHIPPED.length - 1),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  cut: fc.nat(40),
  put: fc.oneof(
    fc.string({ unit: 'grapheme', maxLength: 12 }),
    fc.constantFrom(
      '',
      '\t',
      '\n',
      ': ',
      '- ',
      '{',
      ']',
      '"',
      "'",
      '&a *a',
      '<<: *b',
      '!!js/function x',
      '---\n',
      '\0',
      'null',
      '1e400',
      '{{x}}',
      '$t(a)',
      '__proto__: 1\n',
      '? ',
      '|\n',
      '%YAML 9.9\n',
    ),
  ),
});

function slipped(
  files: readonly SourceFile[],
  { file, at, cut, put }: { file: number; at: number; cut: number; put: string },
): SourceFile[] {
  return files.map((one, index) => {
    if (index !== file) return one;
    const place = Math.floor(one.text.length * at);
    return { path: one.path, text: one.text.slice(0, place) + put + one.text.slice(place + cut) };
  });
}

const isTold = (files: SourceFile[]): void => {
  const read = openProtocol(files, 'v');
  if (read.ok) return;
  expect(read.faults.length).toBeGreaterThan(0);
  for (const { file, line, message } of read.faults) {
    expect(file).toMatch(/^(flows|locales)/);
    expect(line).toBeGreaterThan(0);
    expect(message).not.toMatch(/^(TypeError|RangeError|Cannot read|undefined)/);
    expect(message.length).toBeGreaterThan(3);
  }
};

test('a slip in any file of the protocol', () => {
  fc.assert(
    fc.property(slip, (one) => isTold(slipped(SHIPPED, one))),
    SPAN,
  );
});

test('a file that is something else, or is not there', () => {
  const text = fc.oneof(
    fc.constant(null),
    fc.string({ unit: 'binary', maxLength: 200 }),
    fc.json().map(String),
    fc.constantFrom('', '[]', '1', 'null', 'a: &x [*x]', `${'- '.repeat(500)}x`),
  );
  fc.assert(
    fc.property(fc.nat(SHIPPED.length - 1), text, (file, other) =>
      isTold(
        SHIPPED.flatMap((one, index) =>
          index !== file ? [one] : other === null ? [] : [{ path: one.path, text: other }],
        ),
      ),
    ),
    SPAN,
  );
});

test('any JSON as findings or as a check: a value, or one line of why not', () => {
  const key = fc.constantFrom(
    'side',
    'age',
    'sex',
    'hours',
    'material',
    'sites',
    'region',
    'digits',
    'signs',
    'notKnown',
    'refill',
    'otherRefill',
    'cold',
    'colour',
    'feeling',
    'pain',
    'tense',
    '__proto__',
  );
  const json = fc.oneof(
    fc.jsonValue(),
    fc.dictionary(key, fc.jsonValue()),
    fc.record({ sites: fc.array(fc.dictionary(key, fc.jsonValue())) }),
  );
  fc.assert(
    fc.property(json, (given) => {
      for (const read of [readFindings(given, []), readCheck(given)])
        if (!read.ok) expect(read.reason).toMatch(/^[^\n]{5,}$/);
    }),
    SPAN,
  );
});
