// A process of its own for what is measured, so that it shares no thread with the measuring; stopped when done.
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** What `npm start` tells Node: whoever is measured is told it too, also what we are held against. */
const AS_SERVED = startCommand().filter((word) => word.startsWith('--'));

function startCommand(): string[] {
  const { scripts } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
    scripts: { start: string };
  };
  return scripts.start.split(' ');
}

interface Child {
  /** What it said first. */
  said: unknown;
  stop: () => Promise<void>;
}

/** Starts a file, and waits for its first word. */
export async function startChild(file: URL, args: string[], flags: string[] = []): Promise<Child> {
  const child = fork(file, args, {
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    execArgv: [...AS_SERVED, ...flags],
  });
  const ended = once(child, 'exit');
  const said = await Promise.race([
    once(child, 'message').then(([word]: unknown[]) => word),
    ended.then(() => Promise.reject(new Error(`${file.pathname} ended before it said anything`))),
  ]);
  return {
    said,
    stop: async () => {
      child.kill('SIGTERM');
      await ended;
    },
  };
}

/** Runs a file to its end, and gives back its first word. */
export async function runChild(file: URL, args: string[], flags: string[] = []): Promise<unknown> {
  const child = await startChild(file, args, flags);
  await child.stop();
  return child.said;
}

/** A fresh folder for as long as `use` takes. */
export async function inFolder<T>(use: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'palmward-bench-'));
  try {
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
