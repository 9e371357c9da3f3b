// Named facts of the data folder, and the versions of the protocol that were served from it.
import type { SourceFile } from '../../model.ts';
import type { Ledger } from '../port.ts';
import { factRead, keptFact } from '../sealing/facts.ts';
import { VERSIONS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Keeping = Pick<
  Ledger,
  'fact' | 'keepFact' | 'keepFirstFact' | 'keepVersion' | 'version' | 'versions' | 'versionsInUse'
>;

export function keeping({ db, keyring, queue }: Parts): Keeping {
  const fact = db.prepare<[string], string>('SELECT value FROM facts WHERE name = ?').pluck();
  const keepFact = db.prepare(
    'INSERT INTO facts (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
  );
  const keepFirst = db.prepare('INSERT OR IGNORE INTO facts (name, value) VALUES (?, ?)');
  const version = db.prepare<[string], string>('SELECT files FROM versions WHERE hash = ?').pluck();
  const keepVersion = db.prepare('INSERT OR IGNORE INTO versions (hash, at, files) VALUES (?, ?, ?)');
  const versions = db.prepare<[], { hash: string; at: number }>(VERSIONS);
  const inUse = db
    .prepare<[], string>('SELECT DISTINCT version FROM cases WHERE live = 1 ORDER BY version')
    .pluck();
  const write = <T>(body: () => T) => queue.add(() => queue.attempt(body));
  const read = (name: string): string | null => {
    const kept = fact.get(name);
    return kept === undefined ? null : factRead(keyring, name, kept);
  };
  return {
    fact: async (name) => read(name),
    keepFact: (name, value) => write(() => void keepFact.run(name, keptFact(keyring, name, value))),
    keepFirstFact: (name, value) =>
      write(() => {
        keepFirst.run(name, keptFact(keyring, name, value));
        return read(name) ?? value;
      }),
    keepVersion: (hash, files, at) => write(() => void keepVersion.run(hash, at, JSON.stringify(files))),
    version: async (hash) => {
      const files = version.get(hash);
      return files === undefined ? null : (JSON.parse(files) as SourceFile[]);
    },
    versions: async () => versions.all(),
    versionsInUse: async () => inUse.all(),
  };
}
