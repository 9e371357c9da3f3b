// The ledger on PostgreSQL: the contract.
import { openPostgres } from '../../src/ledger/postgres/open.ts';
import { makeDatabase } from '../postgres/database.ts';
import { ledgerContract, type Opening } from './contract.ts';

ledgerContract('PostgreSQL', async () => {
  const { url, drop } = await makeDatabase();
  return {
    open: ({ realNow, onFault }: Opening = {}) =>
      openPostgres({
        url,
        hash: (text) => `hash of ${text}`,
        realNow: realNow ?? (() => Date.now()),
        ...(onFault && { onFault }),
      }),
    remove: drop,
  };
});
