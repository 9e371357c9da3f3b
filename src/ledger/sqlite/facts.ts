// Named facts of the data folder, and the versions of the protocol that were served from it.
import type { SourceFile } from '../../model.ts';
import type { Ledger } from '../port.ts';
import type { Parts } from './parts.ts';

type Keeping = Pick<Ledger, 'fact' | 'keepFact' | 'keepVersion' | 'version' | 'versionsInUse'>;

/** Facts that let whoever reads them pass for this program, such as what the addresses of plans are made with. */
const IS_SECRET = /[.]secret$/;

export function keeping({ db, keyring, queue }: Parts): Keeping {
  const fact = db.prepare<[string], string>('SELECT value FROM facts WHERE name = ?').pluck();
  const keepFact = db.prepare(
    'INSERT INTO facts (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
  );
  const version = db.prepare<[string], string>('SELECT files FROM versions WHERE hash = ?').pluck();
  const keepVersion = db.prepare('INSERT OR IGNORE INTO versions (hash, at, files) VALUES (?, ?, ?)');
  const inUse = db
    .prepare<[], string>('SELECT DISTINCT version FROM cases WHERE live = 1 ORDER BY version')
    .pluck();
  const write = (body: () => void) => queue.add(() => queue.attempt(body));
  return {
    fact: async (name) => {
      const value = fact.get(name);
      if (value === undefined) return null;
      return IS_SECRET.test(name) ? keyring.open(Buffer.from(value, 'base64'), factPlace(name)) : value;
    },
    keepFact: (name, value) =>
      write(() => {
        const kept = IS_SECRET.test(name) ? keyring.seal(value, factPlace(name)).toString('base64') : value;
        keepFact.run(name, kept);
      }),
    keepVersion: (hash, files, at) => write(() => void keepVersion.run(hash, at, JSON.stringify(files))),
    version: async (hash) => {
      const files = version.get(hash);
      return files === undefined ? null : (JSON.parse(files) as SourceFile[]);
    },
    versionsInUse: async () => inUse.all(),
  };
}

export function factPlace(name: string): string {
  return `facts ${name}`;
}
