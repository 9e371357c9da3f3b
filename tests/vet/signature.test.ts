// Who signed which version: the signature is no part of what it signs, and one for another version counts for nothing.
import { describe, expect, test } from 'vitest';
import { openProtocol } from '../../src/care/protocol.ts';
import { signedInWords } from '../../src/clinical/signature.ts';
import type { SourceFile } from '../../src/model.ts';
import { versionOf } from '../../src/protocol-files.ts';
import { vet } from '../../src/vet/vet.ts';
import { opened, SHIPPED } from './protocol-files.ts';

const bare = SHIPPED.filter(({ path }) => path !== 'flows/signature.yaml');
const VERSION = versionOf(bare);
const signed = (text: string): SourceFile[] => [...bare, { path: 'flows/signature.yaml', text }];
const byAda = (version: string) => signed(`version: '${version}'\nby: Ada Quill, MD\non: '2026-01-31'\n`);

test('signing a version leaves it the same version', () => {
  expect(versionOf(byAda(VERSION))).toBe(VERSION);
});

describe('a version', () => {
  test('is unsigned without a signature', () => {
    expect(opened(bare).signature).toEqual({ state: 'unsigned' });
    expect(vet(opened(bare), bare, []).lines[0]).toBe(
      `version ${VERSION}, unsigned: no keeper has signed it`,
    );
  });

  test('is signed by a signature that names it, and vet says by whom', () => {
    const files = byAda(VERSION);
    expect(vet(opened(files), files, []).lines[0]).toBe(
      `version ${VERSION}, signed by Ada Quill, MD on 2026-01-31`,
    );
  });

  test('is unsigned by a signature that names another version, and that is said', () => {
    const { signature } = opened(byAda('0123456789ab'));
    expect(signature.state).toBe('other-version');
    expect(signedInWords(signature)).toBe(
      'unsigned: the signature of Ada Quill, MD is for version 0123456789ab',
    );
  });
});

test.each([
  [
    'a version without quotes, which YAML takes for a number',
    'version: 123456789012\nby: Ada\non: 2026-01-31\n',
    /signature.yaml:1: version/,
  ],
  ['nobody’s name', `version: '${VERSION}'\nby: ''\non: 2026-01-31\n`, /signature.yaml:2: by: who signed/],
  [
    'a day that is none',
    `version: '${VERSION}'\nby: Ada\non: yesterday\n`,
    /signature.yaml:3: on: write the day/,
  ],
  [
    'a field that does not exist',
    `version: '${VERSION}'\nby: Ada\non: 2026-01-31\nseal: x\n`,
    /signature.yaml:4: unknown field "seal"/,
  ],
])('a signature with %s stops the start', (_what, text, told) => {
  const read = openProtocol(signed(text), VERSION);
  const faults = read.ok ? [] : read.faults.map(({ file, line, message }) => `${file}:${line}: ${message}`);
  expect(faults.join('\n')).toMatch(told);
});
