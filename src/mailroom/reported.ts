// Promise: what the gateway reports of a text is kept; what did not arrive is sent again where that may help, else a person is told.
import type { Ledger } from '../ledger/port.ts';
import type { World } from './surroundings.ts';
import { tellUndelivered } from './undelivered.ts';

/** A text that a phone did not take is sent again so often. *Choice*. */
const MOST_TIMES = 3;

export interface ReportParts {
  ledger: Ledger;
  world: World;
  realNow: () => number;
  /** What to do about the gateway's code for a text that did not arrive. */
  judge: (code: string | null) => { class: string; afterMs: number };
  /** Told of a text that failed for good. */
  onFailed: (line: number, code: string | null, why: string) => void;
  stirred: () => void;
}

export function hearingReports({ ledger, world, realNow, judge, onFailed, stirred }: ReportParts) {
  return async (
    by: Parameters<Ledger['report']>[0],
    status: 'sent' | 'delivered' | 'failed',
    carrierId: string,
    code: string | null,
  ): Promise<void> => {
    const verdict = judge(code);
    const again = { again: realNow() + verdict.afterMs, most: MOST_TIMES };
    const said = status === 'failed' && verdict.class === 'retry' ? again : status;
    const foreseen = await ledger.report(by, said, carrierId, 'foreseen');
    // Told first: if we die in between, the gateway reports it once more, and a person knows already.
    if (foreseen?.now === 'failed')
      await tellUndelivered({ ledger, world }, foreseen, verdict.class === 'opted-out', stirred);
    const row = await ledger.report(by, said, carrierId);
    if (row?.now === 'failed') onFailed(row.line, code, verdict.class);
  };
}
