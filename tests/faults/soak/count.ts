// What a ledger and a carrier say after a soak, held against each other: lost, doubled, early, late, forgotten.
import { turn } from '../../../src/care/turn.ts';
import type { Case } from '../../../src/care/types.ts';
import { keptState } from '../../../src/ledger/kept-state.ts';
import { sha256, type House } from '../../../src/main.ts';
import { foldForSms } from '../../../src/wording/fold.ts';
import type { Carrier } from './carrier.ts';

export interface Counted {
  cases: number;
  /** Texts that the carrier says were taken and no case has, and the other way round. */
  lostIn: number;
  doubledIn: number;
  textsOut: number;
  /** Texts that count as sent and reached no phone, or are still on their way when all is at rest. */
  lostOut: number;
  /**
   * Not sent, and taken for sent: the same words had gone to the same number within the half minute by which clocks may
   * differ, and no report on those had come. Only a fast clock asks the same so soon again.
   */
  mistaken: number;
  /** Texts that reached a phone twice: where the carrier's answer was lost, and where it was not. */
  doubledAnswerLost: number;
  doubledOtherwise: number;
  /** Texts on phones that the ledger knows nothing of. */
  unknownOut: number;
  /** Outdated before they could be sent, and refused for good: both are meant, and told to somebody where it matters. */
  dropped: number;
  failed: number;
  timersFired: number;
  checksAsked: number;
  early: number;
  /** Timers that ran although none was set. */
  stray: number;
  /** Timers still due when all is at rest, and cases under watch that nothing will ever wake. */
  skipped: number;
  lateMs: { p50: number; p99: number; most: number };
  /** Fired more than a real second after they were due. */
  late: number;
  callsAccepted: number;
  /** Cases whose events do not give the same case again. */
  notReplayed: number;
  /** What to look at where something was lost or doubled. */
  details: string[];
}

/** As the gateway's look-up has it, and the time a text may have waited. */
const CLOCK_SKEW_MS = 40_000;
const MOST_CASES = 1_000_000;
const ON_ITS_WAY = ['waiting', 'leased', 'unclear'];
const GONE_OUT = ['sent', 'delivered', 'handed'];

/** `kills`: when a `serve` was killed, in real milliseconds: an answer that was on its way to it was lost with it. */
export async function count(
  house: House,
  carrier: Carrier,
  kills: number[],
  isHelper: (number: string) => boolean,
): Promise<Counted> {
  const { ledger, settings } = house;
  const open = await ledger.openCases(MOST_CASES);
  const byLine = Map.groupBy(carrier.arrivals, ({ line }) => line);
  const known = new Set<number>();
  const late: number[] = [];
  const taken = new Map(carrier.taken);
  const counted = nothing(open.length);
  for (const each of open) {
    const number = each.contact.slice('sms:'.length);
    const thread = await ledger.conversation(each.code);
    const heard = thread.filter(
      ({ direction, address }) => direction === 'in' && address === each.contact,
    ).length;
    counted.lostIn += Math.max(0, (taken.get(number) ?? 0) - heard);
    counted.doubledIn += Math.max(0, heard - (taken.get(number) ?? 0));
    taken.delete(number);
    for (const { line, direction, state, key, address, text } of thread) {
      if (direction !== 'out') continue;
      known.add(line);
      counted.textsOut += 1;
      counted.checksAsked += Number(key === 'check.ask');
      const isThere = byLine.has(line);
      if (state === 'sent' && !isThere && hasTwin(carrier, line, address, text)) counted.mistaken += 1;
      else if (ON_ITS_WAY.includes(state) || (GONE_OUT.includes(state) && !isThere)) {
        counted.lostOut += 1;
        counted.details.push(`lost: line ${line} of ${each.code}, ${key}, ${state}`);
      }
      if (state === 'dropped') counted.dropped += 1;
      if (state === 'failed') counted.failed += 1;
    }
    await lookAtEvents(house, each, counted, late);
  }
  // Helpers whose texts were taken and who have no case at all.
  for (const [number, texts] of taken) if (isHelper(number)) counted.lostIn += texts;
  for (const [line, arrivals] of byLine) {
    const [one] = arrivals;
    if (one && isHelper(one.to) && !known.has(line)) counted.unknownOut += 1;
    if (arrivals.length === 1) continue;
    const between = kills.some((at) => at >= arrivals[0]!.at - 1000 && at <= arrivals.at(-1)!.at);
    if (carrier.unanswered.has(line) || between) counted.doubledAnswerLost += 1;
    else {
      counted.doubledOtherwise += 1;
      const gaps = arrivals.map(({ at }) => at - arrivals[0]!.at).join(', ');
      counted.details.push(`doubled: line ${line} to ${one?.to}, after ${gaps} ms`);
    }
  }
  counted.skipped += (await ledger.counts()).dueTimers;
  const inReal = late.map((ms) => ms / settings.timeSpeed).toSorted((a, b) => a - b);
  const share = (of: number) =>
    Math.round(inReal[Math.min(inReal.length - 1, Math.floor(inReal.length * of))] ?? 0);
  return {
    ...counted,
    lateMs: { p50: share(0.5), p99: share(0.99), most: share(1) },
    late: inReal.filter((ms) => ms > 1000).length,
  };
}

/** Whether the same words reached the same number shortly before. Lines rise with time, so a neighbour tells when it was. */
function hasTwin({ arrivals }: Carrier, line: number, address: string, text: string | null): boolean {
  const to = address.slice('sms:'.length);
  const body = foldForSms(text ?? '');
  const next = arrivals.filter((one) => one.line > line).toSorted((a, b) => a.line - b.line)[0];
  const until = next?.at ?? Infinity;
  return arrivals.some(
    (one) => one.line < line && one.to === to && one.body === body && one.at > until - CLOCK_SKEW_MS,
  );
}

/** Folds a case's events again: what was due when, and whether the same case comes of it. */
async function lookAtEvents(house: House, of: Case, counted: Counted, late: number[]): Promise<void> {
  let state: Case | null = null;
  let isSame = true;
  for (const { event, hash } of await house.ledger.events(of.code)) {
    if (event.kind === 'due') {
      const at: number | undefined = state?.timers[event.timer];
      counted.timersFired += 1;
      if (at === undefined) counted.stray += 1;
      else if (event.at < at) counted.early += 1;
      else late.push(event.at - at);
    }
    if (event.kind === 'clinician' && event.act === 'accept') counted.callsAccepted += 1;
    const next = turn(state, event, house.world.protocols.of(of.version)).case;
    state = JSON.parse(JSON.stringify(next)) as Case;
    if (hash && sha256(keptState(state)) !== hash) isSame = false;
  }
  if (!isSame || !state || keptState(state) !== keptState(of)) counted.notReplayed += 1;
  if (of.stage === 'watching' && !of.call && Object.keys(of.timers).length === 0) counted.skipped += 1;
}

function nothing(cases: number): Counted {
  return {
    cases,
    lostIn: 0,
    doubledIn: 0,
    textsOut: 0,
    lostOut: 0,
    mistaken: 0,
    doubledAnswerLost: 0,
    doubledOtherwise: 0,
    unknownOut: 0,
    dropped: 0,
    failed: 0,
    timersFired: 0,
    checksAsked: 0,
    early: 0,
    stray: 0,
    skipped: 0,
    lateMs: { p50: 0, p99: 0, most: 0 },
    late: 0,
    callsAccepted: 0,
    notReplayed: 0,
    details: [],
  };
}
