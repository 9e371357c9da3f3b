// One turn on one case that no message and no timer started.
import type { Ledger } from '../port.ts';
import { turnOnCase } from '../turns.ts';
import type { Parts } from './parts.ts';

export function acting(parts: Parts): Ledger['act'] {
  return (code, decide) =>
    parts.queue.add(() => parts.queue.attempt(() => turnOnCase(parts, code, decide, parts.clock)));
}
