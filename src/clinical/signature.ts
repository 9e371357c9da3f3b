// Whether a keeper signed this version: `flows/signature.yaml`, which is no part of the version that it signs.
import { z } from 'zod';
import type { Read, SourceFile } from '../model.ts';
import { parseYaml, shapeYaml } from './read-yaml.ts';

export const SIGNATURE_FILE = 'flows/signature.yaml';

/** signed; unsigned: nobody did; other-version: somebody signed a version that is not this one, so that it counts for nothing. */
export type Signature =
  { state: 'unsigned' } | { state: 'signed' | 'other-version'; version: string; by: string; on: string };

export const signatureShape = z.strictObject({
  /** Quoted, since a version such as 12e456789012 would be read as a number. */
  version: z.string('write the version in quotes').regex(/^[0-9a-f]{12}$/, 'a version is 12 of 0-9 and a-f'),
  by: z.string().trim().min(1, 'who signed?'),
  on: z.string().regex(/^\d{4}-\d\d-\d\d$/, 'write the day as 2026-01-31'),
});

/** Reads the signature, if there is one, and holds it against the version it stands beside. */
export function readSignature(files: readonly SourceFile[], version: string): Read<Signature> {
  const file = files.find(({ path }) => path === SIGNATURE_FILE);
  if (!file) return { ok: true, value: { state: 'unsigned' } };
  const parsed = parseYaml(file);
  const read = parsed.ok ? shapeYaml(parsed.value, signatureShape) : parsed;
  if (!read.ok) return read;
  return {
    ok: true,
    value: { state: read.value.version === version ? 'signed' : 'other-version', ...read.value },
  };
}

/** Whether this version is signed, for people to read. */
export function signedInWords(signature: Signature): string {
  switch (signature.state) {
    case 'signed':
      return `signed by ${signature.by} on ${signature.on}`;
    case 'unsigned':
      return 'unsigned: no keeper has signed it';
    case 'other-version':
      return `unsigned: the signature of ${signature.by} is for version ${signature.version}`;
  }
}
