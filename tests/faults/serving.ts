// A real `serve` in a process of its own, and people who text it: as often as it takes, like a gateway does.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { A_KEY } from '../ledger/builders.ts';

const CLI = fileURLToPath(new URL('../../src/cli.ts', import.meta.url));

export interface Serving {
  url: string;
  pid: number;
  /** What it said so far, on both outputs. */
  said: () => string;
  kill: () => Promise<void>;
  /** Resolves to its exit code. */
  stop: () => Promise<number | null>;
}

/** Runs a command to its end. */
export async function command(
  args: string[],
  env: Record<string, string>,
): Promise<{ code: number | null; said: string }> {
  const { child, said } = start(args, env);
  await once(child, 'close');
  return { code: child.exitCode, said: said() };
}

/** Resolves once it says its address. */
export async function serving(env: Record<string, string>): Promise<Serving> {
  const { child, said } = start(['serve'], { PORT: '0', TIME_ZONE: 'UTC', ...env });
  const url = await new Promise<string>((resolve, reject) => {
    child.once('exit', () => reject(new Error(`serve ended: ${said()}`)));
    child.stdout?.on('data', () => {
      const address = /(http:\S+)[/]chat/.exec(said())?.[1];
      if (address) resolve(address);
    });
  });
  const end = async (signal: NodeJS.Signals) => {
    if (child.exitCode === null && child.signalCode === null) {
      const gone = once(child, 'exit');
      child.kill(signal);
      await gone;
    }
    return child.exitCode;
  };
  return {
    url,
    pid: child.pid!,
    said,
    kill: async () => void (await end('SIGKILL')),
    stop: () => end('SIGTERM'),
  };
}

function start(args: string[], env: Record<string, string>): { child: ChildProcess; said: () => string } {
  const child = spawn(process.execPath, [CLI, ...args], {
    env: { ...process.env, PALMWARD_KEY: A_KEY.toString('hex'), ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const chunks: string[] = [];
  for (const output of [child.stdout, child.stderr])
    output?.on('data', (chunk: Buffer) => chunks.push(chunk.toString()));
  return { child, said: () => chunks.join('') };
}

/** One text of somebody. The nonce stays the same however often it has to be sent. */
export interface Texting {
  address: string;
  nonce: string;
  text: string;
}

/** Posts it to one server; whether it was taken. */
export async function post(url: string, { address, nonce, text }: Texting): Promise<boolean> {
  const [wire, who = ''] = address.split(':');
  const form = wire === 'phone' ? { number: who, nonce, text } : { nonce, text, language: 'en' };
  try {
    const answer = await fetch(`${url}/${wire}`, {
      method: 'POST',
      headers: wire === 'chat' ? { cookie: `palmward_chat=${who}` } : {},
      body: new URLSearchParams(form),
      redirect: 'manual',
    });
    await answer.body?.cancel();
    return answer.status === 303;
  } catch {
    return false;
  }
}
