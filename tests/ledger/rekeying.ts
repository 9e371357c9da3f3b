// A process that changes the key of the ledger its environment names, without end, once it has said that it begins; tests kill it.
import { writeSync } from 'node:fs';
import { rekey } from '../../src/rekey.ts';
import { readSettings } from '../../src/settings.ts';

const read = readSettings(process.env);
if ('faults' in read) throw new Error(read.faults.join('\n'));
writeSync(1, 'begins\n');
for (;;) await rekey(read.settings);
