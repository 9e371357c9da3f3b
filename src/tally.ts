// What the process counts for its operator: what is spent, what failed, how old the oldest of each kind is.
import type { Logger } from 'pino';
import { NotStored } from './ledger/not-stored.ts';
import type { Ledger, OutRow } from './ledger/port.ts';
import type { Outcome } from './mailroom/deliver.ts';
import { openGate, type Gate } from './mailroom/gate.ts';
import type { Pulse } from './mailroom/pulse.ts';
import type { Purse } from './mailroom/receive.ts';
import { openSpending, type Spending } from './mailroom/spending.ts';
import type { World } from './mailroom/surroundings.ts';
import type { Watched } from './server/metrics.ts';
import type { Settings } from './settings.ts';
import { gapHours } from './shifts/on-call.ts';
import { foldForSms } from './wording/fold.ts';
import { measure } from './wording/parts.ts';

/** How far ahead a gap of the rota is told. *Choice*: long enough to ask somebody before the night. */
const GAP_AHEAD_MS = 24 * 60 * 60_000;

export interface Tally {
  spending: Spending;
  gate: Gate;
  /** Texts, since the start of the process. */
  failed: number;
  dropped: number;
  /** Texts that came in and could not be stored; the gateway was told to bring them again. */
  notStored: number;
  /** Posts to the gateway's addresses that it did not sign. */
  refused: number;
}

interface Parts {
  settings: Settings;
  ledger: Ledger;
  utcOffsetAt: World['utcOffsetAt'];
  realNow: () => number;
  log: Logger;
}

/** Warns of each cap before it bites, and says when it does. */
export async function openTally({ settings, ledger, utcOffsetAt, realNow, log }: Parts): Promise<Tally> {
  const alarm =
    (of: string, by = 'SMS') =>
    (what: 'most' | 'all', now: number, cap: number) =>
      what === 'all'
        ? log.error({ now, cap }, `${of}: the cap is reached, new cases by ${by} are refused`)
        : log.warn({ now, cap }, `${of}: the cap is near`);
  const onAlarm = alarm('SMS parts today');
  const cap = settings.spendCapPartsPerDay;
  const spending = await openSpending(ledger, { cap, realNow, utcOffsetAt, onAlarm });
  const gate = openGate({
    spending,
    casesPerHour: settings.newCasesPerHour,
    chatsPerHour: settings.newChatsPerHour,
    realNow,
    onAlarm: alarm('new cases in an hour from one block of numbers'),
    onChatAlarm: alarm('new cases in an hour from one network', 'web chat from there'),
  });
  return { spending, gate, failed: 0, dropped: 0, notStored: 0, refused: 0 };
}

/** What watches over the texts that come in. */
export function purseOf({ gate, spending }: Tally): Purse {
  return {
    mayOpen: gate.mayOpen,
    opened: gate.opened,
    answered: (address, texts) => {
      if (address.startsWith('sms:')) spending.add(texts.reduce((sum, text) => sum + partsOf(text), 0));
    },
  };
}

/** The same taking in, with what it tells of the ledger. That a turn failed, and its text is kept, is no fault of that. */
export function watchTaking<T, R>(
  take: (text: T) => Promise<R>,
  { tally, pulse }: { tally: Tally; pulse: Pick<Pulse, 'took'> },
): (text: T) => Promise<R> {
  return async (text) => {
    try {
      const taken = await take(text);
      pulse.took(true);
      return taken;
    } catch (fault) {
      if (fault instanceof NotStored) {
        pulse.took(false);
        tally.notStored += 1;
      }
      throw fault;
    }
  };
}

/** Every text that went out costs; every one that did not is counted and logged, without number and words. */
export function onOutcome(tally: Tally, log: Logger) {
  return ({ line, attempts, text }: OutRow, { settled, posted, why }: Outcome): void => {
    if (posted) tally.spending.add(partsOf(text));
    if (settled.state === 'failed') tally.failed += 1;
    if (settled.state === 'dropped') tally.dropped += 1;
    if (!('error' in settled)) return;
    const what = { line, attempts, error: settled.error };
    if (why === 'bug') log.error(what, 'a text was refused as wrong: a fault of ours');
    else if (settled.state === 'failed') log.warn(what, 'a text was not delivered');
    else if (settled.state === 'dropped') log.warn(what, 'a text was dropped: too old to be of use');
    else log.warn(what, 'a text waits for another try');
  };
}

/** SMS parts that a text goes out in. */
function partsOf(text: string): number {
  return measure(foldForSms(text)).parts;
}

interface Looked {
  settings: Settings;
  ledger: Ledger;
  world: World;
  tally: Tally;
  realNow: () => number;
}

/** All that an operator watches, now. Rejects where the ledger cannot be reached. */
export async function watch(looked: Looked): Promise<Watched> {
  const { ledger, world, realNow } = looked;
  const [counts, figures, clinicians] = await Promise.all([
    ledger.counts(),
    ledger.figures(),
    ledger.clinicians(),
  ]);
  const secondsSince = (then: number | null, now: number) =>
    then === null ? 0 : Math.max(0, now - then) / 1000;
  const caseNow = world.clock.now();
  return {
    ...counted(looked),
    ...counts,
    ledgerAway: 0,
    oldestWaitingAge: secondsSince(figures.oldestWaiting, realNow()),
    oldestOverdueCheckAge: secondsSince(figures.firstCheck, caseNow),
    oldestOpenCallAge: secondsSince(figures.oldestCall, caseNow),
    faultyTexts: figures.faultyTexts,
    gapHours: gapHours(clinicians, caseNow, GAP_AHEAD_MS),
  };
}

/** What is left of it where the ledger cannot be reached: what this process counts for itself. */
export async function watchAway(looked: Looked): Promise<Partial<Watched>> {
  return watch(looked).catch(() => ({ ...counted(looked), ledgerAway: 1 }));
}

function counted({ settings, world, tally, realNow }: Omit<Looked, 'ledger'>) {
  const cap = settings.spendCapPartsPerDay;
  return {
    failedTexts: tally.failed,
    droppedTexts: tally.dropped,
    notStoredTexts: tally.notStored,
    refusedPosts: tally.refused,
    partsToday: tally.spending.today(),
    spentShare: cap === null ? 0 : tally.spending.today() / cap,
    busiestBlock: tally.gate.busiest(),
    protocolWithdrawn: Number(world.protocols.withdrawn !== null),
    clockAhead: settings.timeSpeed === 1 ? Math.max(0, world.clock.now() - realNow()) / 1000 : 0,
  };
}
