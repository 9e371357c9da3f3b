// One outbox row with its text, locked: how it is read, and how its state is changed.
import type { Change, Stored } from '../delivery.ts';
import { OUT_ROW } from '../selects.ts';
import type { Run } from './connect.ts';

export async function outRowBy(
  run: Run,
  by: { line: number } | { carrierId: string },
): Promise<Stored | undefined> {
  const [column, value] = 'line' in by ? ['line', by.line] : ['carrier_id', by.carrierId];
  const text = `${OUT_ROW} WHERE outbox.${column} = $1 ORDER BY line LIMIT 1 FOR UPDATE OF outbox`;
  const [row] = await run<Stored>({ text }, [value]);
  return row;
}

export async function changeOutbox(run: Run, change: Change): Promise<void> {
  const { line, state, due, carrierId, error } = change;
  await run({ name: 'change', text: CHANGE }, [line, state, due, carrierId, error]);
}

const CHANGE = `
  UPDATE outbox SET state = coalesce($2, state), due = CASE WHEN $2 IS NULL THEN due ELSE $3 END,
    carrier_id = $4, error = coalesce($5, error)
  WHERE line = $1`;
