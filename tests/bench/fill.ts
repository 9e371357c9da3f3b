// Fills a SQLite ledger with open cases, all in the watch with a check asked: copies of one that came about by a
// conversation, written by the ledger's own statements, many turns a transaction.
import { join } from 'node:path';
import { openHouse, sha256 } from '../../src/main.ts';
import { masterOf } from '../../src/open-ledger.ts';
import { connect } from '../../src/ledger/sqlite/connect.ts';
import { assemble } from '../../src/ledger/sqlite/parts.ts';
import { copyOf } from './copies.ts';
import { settingsOf } from './posts.ts';
import { TALK, talked } from './talk.ts';

const AT_ONCE = 50_000;

const [, , folder = '', many = '0'] = process.argv;
const house = await openHouse(settingsOf(folder), true, { quiet: true });
const of = await talked(house, 'sms:+15055550101', TALK.slice(0, -1));
await house.close();
fill(Number(many));
process.send?.('filled');

function fill(count: number): void {
  const file = join(folder, 'palmward.db');
  const { close, ...keyed } = connect({
    file,
    exclusive: true,
    findMaster: masterOf(settingsOf(folder)),
    hash: sha256,
  });
  const { db } = keyed;
  // Nothing is lost that could not be filled again.
  for (const pragma of ['synchronous = OFF', 'cache_size = -800000', 'foreign_keys = OFF']) db.pragma(pragma);
  const { store } = assemble(keyed, { hash: () => 'filled', realNow: Date.now });
  const copy = copyOf(of, count, house.world.codes);
  for (let from = 0; from < count; from += AT_ONCE)
    db.transaction(() => {
      for (let nth = from; nth < Math.min(count, from + AT_ONCE); nth += 1) {
        const decision = copy(nth, nth + 2);
        // What a case begins with: without a text it would have no key, and its first turn would have to make one.
        const { contact: address } = decision.cases[0]!;
        const inbound = { id: `fill ${nth}`, address, text: TALK[0]!, pictures: 0, at: of.openedAt };
        store(decision, { at: of.openedAt, message: { inbound, sender: 'helper', line: null } });
      }
    })();
  db.pragma('wal_checkpoint(TRUNCATE)');
  close();
}
