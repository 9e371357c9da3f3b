// The ledger on SQLite: the contract, and what is SQLite's own.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openSqlite } from '../../src/ledger/sqlite/open.ts';
import { A_KEY } from './builders.ts';
import { ledgerContract, type Opening } from './contract.ts';

ledgerContract('SQLite', async () => {
  const dir = await mkdtemp(join(tmpdir(), 'palmward-ledger-'));
  return {
    open: async (opening?: Opening) =>
      openSqlite({
        file: join(dir, 'palmward.db'),
        exclusive: false,
        findMaster: () => A_KEY,
        hash: (text) => `hash of ${text}`,
        realNow: () => Date.now(),
        ...opening,
      }),
    remove: () => rm(dir, { recursive: true }),
  };
});
