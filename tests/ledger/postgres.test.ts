// The ledger on PostgreSQL: the contract.
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { makeDatabase } from '../postgres/database.ts';
import { A_KEY } from './builders.ts';
import { ledgerContract, type Opening } from './contract.ts';

ledgerContract('PostgreSQL', async () => {
  const { url, drop } = await makeDatabase();
  return {
    open: ({ realNow, onFault }: Opening = {}) =>
      openPostgres({
        url,
        findMaster: () => A_KEY,
        hash: (text) => `hash of ${text}`,
        realNow: realNow ?? (() => Date.now()),
        ...(onFault && { onFault }),
      }),
    remove: drop,
  };
});
