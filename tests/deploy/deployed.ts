// Reads deploy/ as its users would: units by key, code blocks by name, commands made to run in another folder.
import { spawn } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { cp } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { onTestFinished } from 'vitest';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const DEPLOY = join(ROOT, 'deploy');

export function readDeploy(file: string): string {
  return readFileSync(join(DEPLOY, file), 'utf8');
}

/** Every file of deploy/ that is handed out; not the settings that somebody filled in here. */
export function deployFiles(): string[] {
  const own = ['environment'];
  return readdirSync(DEPLOY).filter(
    (file) => !file.startsWith('.') && !own.includes(file) && statSync(join(DEPLOY, file)).isFile(),
  );
}

/** The last value of a key; a unit's later lines replace earlier ones where they are not lists. */
export function unitValue(file: string, key: string): string {
  const values = readDeploy(file)
    .split('\n')
    .flatMap((line) => (line.startsWith(`${key}=`) ? [line.slice(key.length + 1)] : []));
  const last = values.at(-1);
  if (last === undefined) throw new Error(`${file} has no ${key}=`);
  return last;
}

/** A command line of a unit as argv, with what systemd itself replaces. Knows single quotes only. */
export function unitCommand(line: string): string[] {
  return [...line.matchAll(/'([^']*)'|(\S+)/g)].map(([, quoted, bare]) =>
    (quoted ?? bare ?? '').replaceAll('$$', '$').replaceAll('%%', '%'),
  );
}

/** The block of a page that is fenced as "```sh NAME". */
export function block(file: string, name: string): string[] {
  const [, body] = new RegExp(`\`\`\`sh ${name}\n([\\s\\S]*?)\`\`\``).exec(readDeploy(file)) ?? [];
  if (body === undefined) throw new Error(`${file} has no block "${name}"`);
  return body.trim().split('\n');
}

/** Lays what a start needs into `folder`: what git knows of, or what is named, and the installed packages. */
export async function layOut(folder: string, names: string[]): Promise<void> {
  for (const name of names) await cp(join(ROOT, name), join(folder, name), { recursive: true });
  symlinkSync(join(ROOT, 'node_modules'), join(folder, 'node_modules'));
}

/** Where the lock file brings no Node (not Linux on x86-64), the one that runs the tests stands in. */
export function runnable(command: string, folder: string): string {
  const isNode = /(^|[/])node$/.test(command);
  const file = join(folder, command);
  if (isNode && !(command.includes('/') && existsSync(file))) return process.execPath;
  return command.includes('/') && !command.startsWith('/') ? file : command;
}

export interface Served {
  address: string;
  /** Sends TERM; gives back the exit code and how long it took. */
  stop: () => Promise<{ code: number | null; ms: number }>;
}

/** Starts a server and waits until it says where it is. */
export async function startServer(argv: string[], cwd: string, env: Record<string, string>): Promise<Served> {
  const [command = '', ...args] = argv;
  const child = spawn(command, args, { cwd, env, stdio: ['ignore', 'pipe', 'pipe'] });
  // A test that fails midway must leave nothing running.
  onTestFinished(() => void child.kill('SIGKILL'));
  const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
  let said = '';
  const address = await new Promise<string>((resolve, reject) => {
    for (const stream of [child.stdout, child.stderr])
      stream.on('data', (chunk: Buffer) => {
        said += chunk.toString();
        const [, found] = /(http:[^ ]*)\/chat\n/.exec(said) ?? [];
        if (found) resolve(found);
      });
    child.once('error', reject);
    void ended.then((code) => reject(new Error(`ended with ${code}: ${said}`)));
  });
  return {
    address,
    stop: async () => {
      const from = performance.now();
      child.kill('SIGTERM');
      return { code: await ended, ms: performance.now() - from };
    },
  };
}
