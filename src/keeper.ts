// The keeper's commands: vetting the protocol, the sheet to sign, schemas for an editor, and withdrawing a version.
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { recording } from './duty/deeds.ts';
import { loadProtocol, openBeside, type House } from './main.ts';
import { MOST_CASES, withdrawnFact } from './mailroom/withdraw.ts';
import type { SourceFile } from './model.ts';
import { readProtocolFiles } from './protocol-files.ts';
import { readSettings, type Settings } from './settings.ts';
import { changesBetween, type Version } from './vet/changes.ts';
import { schemasOf } from './vet/schemas.ts';
import { tellChanges } from './vet/tell-changes.ts';
import { vet } from './vet/vet.ts';

const BAD_INPUT = 2;
const VERSION = /^[0-9a-f]{12}$/;

interface VetOptions {
  sheet?: string;
  schema?: string;
  since?: string;
  language: string;
}

function badInput(line: string): number {
  process.stderr.write(`${line}\n`);
  return BAD_INPUT;
}

/** `vet [--sheet FILE [--language es]] [--schema DIR]`: without a fault, exit 0; a sheet is only written without one. */
export async function vetProtocol(args: string[]): Promise<number> {
  const options = readOptions(args);
  if (typeof options === 'string') return badInput(options);
  const { protocol, files } = loadProtocol();
  if (!protocol.words.languages.includes(options.language))
    return badInput(`no language "${options.language}": locales/ has ${protocol.words.languages.join(', ')}`);
  if (options.since !== undefined) return tellSince(options.since, { protocol, files });
  if (options.schema !== undefined) writeSchemas(options.schema, schemasOf(protocol));
  const begun = performance.now();
  const report = vet(protocol, files);
  const seconds = ((performance.now() - begun) / 1000).toFixed(1);
  process.stdout.write(`${report.lines.join('\n')}\nVetted in ${seconds} s\n`);
  for (const fault of report.faults) process.stderr.write(`${fault}\n`);
  if (report.faults.length > 0) return 1;
  if (options.sheet !== undefined) {
    // The graph library is large, and only the sheet needs it.
    const { signOffSheet } = await import('./vet/sheet.ts');
    writeFileSync(options.sheet, await signOffSheet(protocol, files, options.language));
    process.stdout.write(`Wrote ${options.sheet}\n`);
  }
  return 0;
}

/** `vet --since HASH|FOLDER`: what differs from a version that was served, or from `flows/` and `locales/` in a folder. */
async function tellSince(since: string, now: Version): Promise<number> {
  const files = VERSION.test(since) ? await servedFiles(since) : filesIn(since);
  if (!files)
    return badInput(`${since} is no version that was served, and no folder with flows/ and locales/`);
  const before = loadProtocol(files);
  process.stdout.write(`${tellChanges(changesBetween(before, now)).join('\n')}\n`);
  return 0;
}

async function servedFiles(version: string): Promise<SourceFile[] | null> {
  const read = readSettings(process.env);
  if ('faults' in read) return null;
  const house = await openBeside(read.settings);
  try {
    return await house.ledger.version(version);
  } finally {
    await house.close();
  }
}

function filesIn(folder: string): SourceFile[] | null {
  return existsSync(join(folder, 'flows')) && existsSync(join(folder, 'locales'))
    ? readProtocolFiles(folder)
    : null;
}

function readOptions(args: string[]): VetOptions | string {
  try {
    const text = { type: 'string' } as const;
    const { values } = parseArgs({
      args,
      options: { sheet: text, schema: text, since: text, language: text },
    });
    return { ...values, language: values.language ?? 'en' };
  } catch (fault) {
    return fault instanceof Error ? (fault.message.split('\n')[0] ?? '') : String(fault);
  }
}

function writeSchemas(folder: string, schemas: Record<string, unknown>): void {
  mkdirSync(folder, { recursive: true });
  for (const [name, schema] of Object.entries(schemas))
    writeFileSync(join(folder, name), `${JSON.stringify(schema, null, 2)}\n`);
  process.stdout.write(`Wrote ${Object.keys(schemas).length} schemas to ${folder}\n`);
}

/** `withdraw VERSION "reason"`: every open case under it brings in a clinician, at once where a serve is running. */
export async function withdraw(args: string[], settings: Settings): Promise<number> {
  const [version, reason] = args;
  if (!version || !VERSION.test(version) || !reason?.trim())
    return badInput('withdraw needs a version, 12 of 0-9 and a-f, and a reason in quotes');
  const house = await openBeside(settings);
  try {
    return await withdrawIn(house, version, reason.trim());
  } finally {
    await house.close();
  }
}

async function withdrawIn(house: House, version: string, reason: string): Promise<number> {
  const { ledger } = house;
  if ((await ledger.version(version)) === null)
    return badInput(`version ${version} was never served from this folder`);
  if ((await ledger.fact(withdrawnFact(version))) !== null)
    return badInput(`version ${version} is withdrawn already`);
  await ledger.keepFact(withdrawnFact(version), reason);
  const cases = (await ledger.openCases(MOST_CASES)).filter((each) => each.version === version);
  const isManned = (await ledger.clinicians()).length > 0;
  const lines = [
    `Version ${version} is withdrawn. No case gets a position by it any more.`,
    `Open cases under it: ${cases.length}; each brings in a clinician while serve runs.`,
    ...(isManned ? [] : ['But nobody is on the rota: enrol somebody now.']),
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  // Last: it is withdrawn by now, and whoever did it has to know even where this cannot be written down.
  await recording(house)('command', 'withdrew a version', version);
  return 0;
}
