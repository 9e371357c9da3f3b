// On a real line nothing is served that no clinician has reviewed and no keeper has signed, unless told to; then it is said.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type House, openHouse } from '../../src/main.ts';
import type { SourceFile } from '../../src/model.ts';
import { readProtocolFiles, versionOf } from '../../src/protocol-files.ts';
import { readSettings, type Settings } from '../../src/settings.ts';
import { changed } from '../vet/protocol-files.ts';

const REVIEW = "reviewed: { by: Ada Quill, on: 2026-01-31, version: '0123456789ab' }";
const HELPER = 'sms:+12025550101';

let folder: string;
let house: House | undefined;
beforeEach(() => void (folder = mkdtempSync(join(tmpdir(), 'palmward-unsigned-'))));
afterEach(async () => {
  await house?.close();
  house = undefined;
  rmSync(folder, { recursive: true });
});

test('a protocol whose words are reviewed and that nobody signed is refused, by its version', async () => {
  const files = reviewed();
  await expect(open(files)).rejects.toThrow(
    new RegExp(
      `^Protocol ${versionOf(files)} is unsigned: no keeper has signed it.*\nOr set SERVE_UNREVIEWED=yes`,
    ),
  );
});

test('commands go on all the same: somebody may have to be phoned while no serve starts', async () => {
  house = await openHouse(settingsWith({}), false, { quiet: true, files: reviewed() });
  expect(await house.ledger.openCases(1)).toEqual([]);
});

test('one that is signed and not reviewed is refused, by its languages', async () => {
  await expect(open(signed(readProtocolFiles()))).rejects.toThrow(/^No clinician has reviewed: en, es\./);
});

test('reviewed and signed it is served, and the first text says nothing of the kind', async () => {
  expect(await firstText(signed(reviewed()))).toMatch(/^Palmward: hand first aid, not a doctor\./);
});

test('a word that is changed afterwards makes a version that nobody signed', async () => {
  const files = changed(signed(reviewed()), 'locales/en/talk.yaml', 'not a doctor', 'no doctor');
  await expect(open(files)).rejects.toThrow(/the signature of Ada Quill is for version/);
});

test.each([
  ['reviewed and unsigned', reviewed()],
  ['signed and not reviewed', signed(readProtocolFiles())],
])('told to, it is served %s, and its first text says so', async (_what, files) => {
  expect(await firstText(files, { SERVE_UNREVIEWED: 'yes' })).toMatch(/unreviewed/);
});

async function firstText(files: SourceFile[], more: Record<string, string> = {}): Promise<string> {
  const { receive } = await open(files, more);
  const { texts } = await receive({ id: 'SM1', address: HELPER, text: 'hello', pictures: 0 });
  return texts[0]?.text ?? '';
}

async function open(files: SourceFile[], more: Record<string, string> = {}): Promise<House> {
  house = await openHouse(settingsWith(more), true, { quiet: true, files });
  return house;
}

function settingsWith(more: Record<string, string>): Settings {
  const read = readSettings({
    DATA_DIR: folder,
    PUBLIC_URL: 'https://palmward.hospital.net',
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: 'not-a-real-token',
    TWILIO_FROM: '+12025550100',
    TWILIO_API_URL: 'https://gateway.invalid',
    ...more,
  });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  return read.settings;
}

function reviewed(): SourceFile[] {
  return ['en', 'es'].reduce(
    (files, language) => changed(files, `locales/${language}/review.yaml`, 'reviewed: null', REVIEW),
    readProtocolFiles(),
  );
}

function signed(files: SourceFile[]): SourceFile[] {
  const text = `version: '${versionOf(files)}'\nby: Ada Quill\non: '2026-01-31'\n`;
  return [...files, { path: 'flows/signature.yaml', text }];
}
