// Copies the ledger while it is in use, by PostgreSQL's own tool.
import { execFile } from 'node:child_process';
import { existsSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Ledger } from '../port.ts';

/** The copy is of one moment. It gets its name only when it is whole. */
export function backingUp(url: string, place: string): Ledger['backup'] {
  return async (file) => {
    if (existsSync(file))
      throw new Error(`${file} exists already; a backup never overwrites: choose another name`);
    const partial = `${file}.${process.pid}.partial`;
    writeFileSync(partial, '', { flag: 'wx', mode: 0o600 });
    try {
      await dump(url, partial);
      renameSync(partial, file);
    } catch (fault) {
      throw new Error(explained(fault, place, file), { cause: fault });
    } finally {
      rmSync(partial, { force: true });
    }
  };
}

/** The password goes by a file that only its owner reads: arguments are seen by everybody on the machine. */
async function dump(url: string, file: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'palmward-backup-'));
  try {
    const passfile = join(folder, 'pgpass');
    const password = decodeURIComponent(new URL(url).password).replace(/[\\:]/g, '\\$&');
    writeFileSync(passfile, `*:*:*:*:${password}\n`, { mode: 0o600 });
    const target = new URL(url);
    target.password = '';
    target.searchParams.set('passfile', passfile);
    target.searchParams.delete('options');
    await promisify(execFile)('pg_dump', [...FORMAT, file, target.href]);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const FORMAT = ['--format=custom', '--file'];

function explained(fault: unknown, place: string, file: string): string {
  const byHand = `back up with: pg_dump ${FORMAT.join(' ')} '${file}' '${place}'`;
  if (fault instanceof Error && 'code' in fault && fault.code === 'ENOENT')
    return `pg_dump is not installed here; on a machine that has it, ${byHand}`;
  const said = fault instanceof Error && 'stderr' in fault ? String(fault.stderr).trim() : String(fault);
  return `pg_dump failed (${said.split('\n')[0]}); ${byHand}`;
}
