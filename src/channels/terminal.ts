// A conversation in the terminal: reads lines, prints what is said and how many parts each text would be.
import { createInterface } from 'node:readline';
import type { Readable, Writable } from 'node:stream';
import { foldForSms } from '../wording/fold.ts';
import { measure } from '../wording/parts.ts';

type Line = { line: number; text: string };

export interface Terminal {
  input: Readable;
  output: Writable;
  /** Takes what was typed; resolves to the answer's texts once they are stored. */
  send: (text: string) => Promise<readonly Line[]>;
  /** What was said after a line on its own account: reminders, a clinician's words. */
  lines: (after: number) => Promise<readonly Line[]>;
  /** The words for "so many parts". */
  partsLabel: (parts: number) => string;
  /** How often `lines` is asked, in milliseconds. */
  pollMs: number;
}

/** Ends when the input ends. A text that could not be taken is said, and the talk goes on. */
export async function talk(terminal: Terminal): Promise<void> {
  const { input, output, send, lines, pollMs } = terminal;
  const reader = createInterface({ input, crlfDelay: Infinity });
  let newest = 0;
  const print = (texts: readonly Line[]): void => {
    for (const { line, text } of texts.filter((one) => one.line > newest)) {
      newest = line;
      output.write(`\n${text}\n  [${terminal.partsLabel(measure(foldForSms(text)).parts)}]\n`);
    }
  };
  const attempt = async (texts: Promise<readonly Line[]>): Promise<void> => {
    try {
      print(await texts);
    } catch (fault) {
      output.write(`\n! ${fault instanceof Error ? fault.message : String(fault)}\n`);
    }
  };
  const ticking = setInterval(() => void attempt(lines(newest)), pollMs);
  try {
    for await (const typed of reader) await attempt(send(typed));
    await attempt(lines(newest));
  } finally {
    clearInterval(ticking);
  }
}
