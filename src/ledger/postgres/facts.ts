// Named facts of the database, and the versions of the protocol that were served from it.
import type { SourceFile } from '../../model.ts';
import type { Ledger } from '../port.ts';
import { factRead, keptFact } from '../sealing/facts.ts';
import { VERSIONS } from '../selects.ts';
import type { Parts } from './parts.ts';

type Keeping = Pick<
  Ledger,
  'fact' | 'keepFact' | 'keepFirstFact' | 'keepVersion' | 'version' | 'versions' | 'versionsInUse'
>;

export function keeping({ db: { run }, keyring, stirring }: Parts): Keeping {
  const fact = async (name: string): Promise<string | null> => {
    const [row] = await run<{ value: string }>({ text: 'SELECT value FROM facts WHERE name = $1' }, [name]);
    return row ? factRead(keyring, name, row.value) : null;
  };
  return {
    fact,
    keepFirstFact: async (name, value) => {
      const text = 'INSERT INTO facts (name, value) VALUES ($1, $2) ON CONFLICT DO NOTHING';
      await run({ text }, [name, keptFact(keyring, name, value)]);
      return (await fact(name)) ?? value;
    },
    keepFact: async (name, value) => {
      const text =
        'INSERT INTO facts (name, value) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET value = excluded.value';
      await run({ text }, [name, keptFact(keyring, name, value)]);
      stirring.tell();
    },
    keepVersion: async (hash, files, at) => {
      const text = 'INSERT INTO versions (hash, at, files) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING';
      await run({ text }, [hash, at, JSON.stringify(files)]);
    },
    version: async (hash) => {
      const text = 'SELECT files FROM versions WHERE hash = $1';
      const [row] = await run<{ files: string }>({ text }, [hash]);
      return row ? (JSON.parse(row.files) as SourceFile[]) : null;
    },
    versions: () => run<{ hash: string; at: number }>({ text: VERSIONS }),
    versionsInUse: async () => {
      const text = 'SELECT DISTINCT version FROM cases WHERE live ORDER BY version';
      return (await run<{ version: string }>({ text })).map(({ version }) => version);
    },
  };
}
