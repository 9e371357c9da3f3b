// Whether one more case may be opened. By SMS: not when the day's parts are spent, nor when one block of numbers opens cases
// faster than people get hurt; such blocks are rented to draw answers that somebody is paid for ("pumping"). By web chat:
// not when one network does, as a script does that drops its cookie. Open cases never come here: a watch is never cut.
import { type Blocks, countBlocks } from './blocks.ts';
import type { Spending } from './spending.ts';

/** Numbers that differ in their last digits only are a block: ten thousand of them. *Choice*. */
const LAST_DIGITS = 4;

export interface Gate {
  /** `network`: where a web chat comes from; none where that is this machine itself. */
  mayOpen: (address: string, network?: string) => boolean;
  /** Returns what takes it back, for a case that was not stored after all. */
  opened: (address: string, network?: string) => () => void;
  /** New cases in the last hour from the block of numbers that opened most. */
  busiest: Blocks['busiest'];
}

export interface GateParts {
  spending: Spending;
  /** New cases an hour from one block of numbers; null: no cap. */
  casesPerHour: number | null;
  /** New cases an hour by web chat from one network; null: no cap. */
  chatsPerHour: number | null;
  realNow: () => number;
  /** Told when a block comes near its cap, and when it reaches it. */
  onAlarm: (what: 'most' | 'all', cases: number, cap: number) => void;
  onChatAlarm: GateParts['onAlarm'];
}

export function openGate({
  spending,
  casesPerHour,
  chatsPerHour,
  realNow,
  onAlarm,
  onChatAlarm,
}: GateParts): Gate {
  const numbers = countBlocks({ cap: casesPerHour, realNow, onAlarm });
  const networks = countBlocks({ cap: chatsPerHour, realNow, onAlarm: onChatAlarm });
  return {
    mayOpen: (address, network) =>
      isSms(address)
        ? !spending.isSpent() && !numbers.isFull(blockOf(address))
        : network === undefined || !networks.isFull(network),
    opened: (address, network) => {
      if (isSms(address)) return numbers.add(blockOf(address));
      return network === undefined ? () => undefined : networks.add(network);
    },
    busiest: numbers.busiest,
  };
}

function isSms(address: string): boolean {
  return address.startsWith('sms:');
}

function blockOf(address: string): string {
  return address.slice(0, -LAST_DIGITS);
}
