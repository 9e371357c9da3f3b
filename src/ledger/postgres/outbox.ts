// One outbox row with its text, locked: how it is read, and how its state is changed.
import type { Change, Stored } from '../delivery.ts';
import { openRows, type Sealed } from '../open-texts.ts';
import type { Keyring } from '../sealing/keyring.ts';
import { outRow } from '../selects.ts';
import type { Run } from './connect.ts';

export async function outRowBy(
  run: Run,
  keyring: Keyring,
  by: { line: number } | { carrierId: string },
): Promise<Stored | undefined> {
  const [column, value] = 'line' in by ? ['line', by.line] : ['carrier_id', by.carrierId];
  const text = `${outRow('code')} WHERE outbox.${column} = $1 ORDER BY outbox.line LIMIT 1 FOR UPDATE OF outbox`;
  return openRows<Stored>(keyring, await run<Sealed<Stored>>({ text }, [value]))[0];
}

export async function changeOutbox(run: Run, change: Change): Promise<void> {
  const { line, state, due, carrierId, error } = change;
  await run({ name: 'change', text: CHANGE }, [line, state, due, carrierId, error]);
}

const CHANGE = `
  UPDATE outbox SET state = coalesce($2, state), due = CASE WHEN $2 IS NULL THEN due ELSE $3 END,
    carrier_id = $4, error = coalesce($5, error)
  WHERE line = $1`;
