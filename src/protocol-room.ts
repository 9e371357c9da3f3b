// What the desk shows of the protocol in force: worked out once, when somebody first looks.
import { Worker } from 'node:worker_threads';
import type { Protocol } from './care/protocol.ts';
import type { Ledger } from './ledger/port.ts';
import type { SourceFile } from './model.ts';
import type { Work } from './protocol-work.ts';
import type { Changes } from './vet/changes.ts';
import { doubtsOf } from './vet/doubts.ts';
import type { PlannedLimb } from './vet/vet.ts';

export function protocolRoom(ledger: Ledger, protocol: Protocol) {
  const { version } = protocol;
  const filesOf = async (hash: string): Promise<SourceFile[]> => (await ledger.version(hash)) ?? [];
  const now = async () => ({ version, files: await filesOf(version) });
  const trees = new Map<string, Promise<string>>();
  return {
    version,
    signature: protocol.signature,
    rows: protocol.rules.rows.map(({ id }) => id),
    doubts: once(async () => doubtsOf(await filesOf(version), protocol.rules.sources)),
    // The graph library is large, and only whoever looks needs it.
    tree: (language: string): Promise<string> => {
      const known = trees.get(language);
      if (known) return known;
      const drawn = import('./vet/draw-tree.ts').then(({ drawTree }) => drawTree(protocol, language));
      trees.set(language, drawn);
      return drawn;
    },
    plans: once(async () => work<Record<string, PlannedLimb[]>>({ now: await now(), before: null })),
    changes: once(async () => {
      const older = await versionBefore(ledger, version);
      if (older === null) return null;
      const before = { version: older, files: await filesOf(older) };
      return work<Changes>({ now: await now(), before });
    }),
  };
}

/** The one first served last before this one; where this one is the oldest, the newest other. */
async function versionBefore(ledger: Ledger, version: string): Promise<string | null> {
  const all = await ledger.versions();
  const at = all.findIndex(({ hash }) => hash === version);
  const before = at < 0 ? undefined : all[at + 1];
  return (before ?? all.find(({ hash }) => hash !== version))?.hash ?? null;
}

/** What failed is tried again when it is next asked for. */
function once<T>(make: () => Promise<T>): () => Promise<T> {
  let made: Promise<T> | null = null;
  return () =>
    (made ??= make().catch((fault: unknown) => {
      made = null;
      throw fault;
    }));
}

function work<T>(workerData: Work): Promise<T> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./protocol-work.ts', import.meta.url), { workerData });
    worker.once('message', (done: T) => resolve(done));
    worker.once('error', reject);
    worker.once('exit', () => reject(new Error('the work on the protocol ended without an outcome')));
  });
}
