// Reads `flows/` and `locales/` from disk, and names their version by a hash over both.
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SIGNATURE_FILE } from './clinical/signature.ts';
import type { SourceFile } from './model.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const VERSION_LENGTH = 12;

/** Every YAML file of both folders, by path. */
export function readProtocolFiles(root = ROOT): SourceFile[] {
  return ['flows', 'locales']
    .flatMap((folder) =>
      readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' }).map(
        (name) => `${folder}/${name}`,
      ),
    )
    .filter((path) => path.endsWith('.yaml'))
    .toSorted()
    .map((path) => ({ path, text: readFileSync(join(root, path), 'utf8') }));
}

/** The version of these files: the same words give the same version, wherever they lie, signed or not. */
export function versionOf(files: SourceFile[]): string {
  const hash = createHash('sha256');
  for (const { path, text } of files.filter(({ path }) => path !== SIGNATURE_FILE))
    hash.update(`${path}\0${text.length}\0${text}`);
  return hash.digest('hex').slice(0, VERSION_LENGTH);
}
