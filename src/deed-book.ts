// The command that prints what was seen and done at the desk, and verifies that nothing of it was changed.
import { parseArgs } from 'node:util';
import { type ChainedDeed, verifyChain } from './ledger/chain.ts';
import type { Ledger } from './ledger/port.ts';
import { openBeside, sha256 } from './main.ts';
import type { Settings } from './settings.ts';

const BAD_INPUT = 2;
const CHUNK = 1000;

/** `deeds` prints all; `deeds --verify [HASH]`: exit 1 at the first broken entry, or where none has the hash. */
export async function deeds(args: string[], settings: () => Settings): Promise<number> {
  const read = readArgs(args);
  if (!read) {
    process.stderr.write('deeds takes nothing, or --verify and a hash that was noted earlier\n');
    return BAD_INPUT;
  }
  const house = await openBeside(settings());
  try {
    return read.verify ? await verify(house.ledger, read.noted) : await printAll(house.ledger);
  } finally {
    await house.close();
  }
}

function readArgs(args: string[]): { verify: boolean; noted: string | null } | null {
  try {
    const options = { verify: { type: 'boolean' } } as const;
    const { values, positionals } = parseArgs({ args, options, allowPositionals: true });
    const verify = values.verify ?? false;
    if (positionals.length > (verify ? 1 : 0)) return null;
    return { verify, noted: positionals[0] ?? null };
  } catch {
    return null;
  }
}

async function* allDeeds(ledger: Ledger): AsyncGenerator<ChainedDeed> {
  let after = 0;
  for (;;) {
    const some = await ledger.deeds(after, CHUNK);
    yield* some;
    const last = some.at(-1);
    if (!last) return;
    after = last.seq;
  }
}

async function printAll(ledger: Ledger): Promise<number> {
  const names = new Map((await ledger.clinicians()).map(({ id, name }) => [id, name]));
  const named = (id: string) => (names.has(id) ? `${names.get(id)} (${id})` : id);
  for await (const { seq, at, who, did, about, hash } of allDeeds(ledger)) {
    const what = about === null ? did : `${did}: ${named(about)}`;
    process.stdout.write(plain(`${seq}  ${new Date(at).toISOString()}  ${named(who)}  ${what}  ${hash}`));
  }
  return 0;
}

/** A terminal obeys control characters, and turns lines around for bidi controls. */
const plain = (line: string): string => `${line.replaceAll(/\p{C}/gu, '\ufffd')}\n`;

async function verify(ledger: Ledger, noted: string | null): Promise<number> {
  let found = noted === null;
  async function* looking(): AsyncGenerator<ChainedDeed> {
    for await (const deed of allDeeds(ledger)) {
      found ||= deed.hash === noted;
      yield deed;
    }
  }
  const chain = await verifyChain(looking(), sha256);
  if (!chain.whole) {
    process.stderr.write(`entry ${chain.seq}: ${chain.why}\n`);
    return 1;
  }
  if (!found) {
    process.stderr.write(
      'no entry has the hash that was noted: the end of the chain was cut off or written anew\n',
    );
    return 1;
  }
  process.stdout.write(
    chain.entries === 0
      ? 'No entry yet.\n'
      : `${chain.entries} entries, one chain. Note the last hash elsewhere, and give it to --verify next time: ${chain.head}\n`,
  );
  return 0;
}
