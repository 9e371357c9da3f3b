// The shipped protocol, and copies of it with one thing changed, all in memory.
import { openProtocol, type Protocol } from '../../src/care/protocol.ts';
import type { SourceFile } from '../../src/model.ts';
import { readProtocolFiles, versionOf } from '../../src/protocol-files.ts';

export const SHIPPED: SourceFile[] = readProtocolFiles();

/** The files with `from` replaced by `to` in one of them; `from` must stand there. */
export function changed(files: SourceFile[], path: string, from: string | RegExp, to: string): SourceFile[] {
  return files.map((file) => {
    if (file.path !== path) return file;
    const text = file.text.replace(from, () => to);
    if (text === file.text) throw new Error(`${path} has no ${String(from)}`);
    return { path, text };
  });
}

export function opened(files: SourceFile[]): Protocol {
  const read = openProtocol(files, versionOf(files));
  if (!read.ok)
    throw new Error(read.faults.map(({ file, line, message }) => `${file}:${line}: ${message}`).join('\n'));
  return read.value;
}

/** The files with something replaced in one row of `flows/positions.yaml`. */
export function inRow(id: string, from: string | RegExp, to: string, files = SHIPPED): SourceFile[] {
  const row = new RegExp(`  - id: ${id}\n[\\s\\S]*?(?=\n  - id: |$)`);
  const positions = files.find(({ path }) => path === 'flows/positions.yaml')?.text ?? '';
  const before = row.exec(positions)?.[0] ?? '';
  const after = before.replace(from, () => to);
  if (after === before) throw new Error(`row ${id} has no ${String(from)}`);
  return changed(files, 'flows/positions.yaml', before, after);
}
