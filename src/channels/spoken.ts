// The texts of a conversation as the pages show them, and the answers that its last question offers.

/** A kept text, as far as the pages need it; the ledger's rows fit. */
export interface Spoken {
  line: number;
  direction: 'in' | 'out';
  /** Null once deleted. */
  text: string | null;
  key: string | null;
  from: 'palmward' | 'clinician' | 'helper';
}

/** One answer to tap: what it sends, and the line that says it. */
export interface Option {
  send: string;
  says: string;
}

/** A check puts aside what was asked before it: a number tapped now would be taken for a count. */
const PUTS_ASIDE = /^check[.](ask|baseline|alone)/;

const OPTION_LINE = /^(\d{1,2})[.)]?\s+(\S.*)$/;

/** What the newest question that nobody has answered yet offers, and which text says so. */
interface Offered {
  options: Option[];
  key: string | null;
  /** The line of that text; null without one. */
  line: number | null;
}

/** The numbered lines of the newest question that nobody has answered yet; none once an answer or a check followed it. */
export function optionsOf(thread: readonly Spoken[]): Offered {
  const answered = thread.findLastIndex((spoken) => spoken.direction === 'in');
  const asked = thread.findLastIndex(({ key, from }) => from === 'palmward' && PUTS_ASIDE.test(key ?? ''));
  const offers = thread
    .slice(Math.max(answered + 1, asked))
    .filter((spoken) => spoken.from === 'palmward')
    .map(({ text, key, line }) => ({ options: readOptions(text ?? ''), key, line }));
  return offers.findLast((offer) => offer.options.length > 0) ?? { options: [], key: null, line: null };
}

/** A single numbered line is no choice: it is a sentence that begins with a number. */
export function readOptions(text: string): Option[] {
  const options = text.split('\n').flatMap((line) => {
    const [, send, says] = OPTION_LINE.exec(line.trim()) ?? [];
    return send && says ? [{ send, says }] : [];
  });
  return options.length > 1 && new Set(options.map(({ send }) => send)).size === options.length
    ? options
    : [];
}
