// What to do about each error of the gateway: one table, each row with its reason.

/**
 * `unclear`: the text may have gone out; ask the gateway's list before sending again. `permanent`: never to this number.
 * `bug`: our own mistake, which sending again repeats; an operator must hear of it.
 */
export type ErrorClass = 'retry' | 'unclear' | 'permanent' | 'opted-out' | 'bug';

export interface ErrorRow {
  class: ErrorClass;
  /** The gateway itself is in trouble, not this one text: the others need not try meanwhile. */
  everywhere?: boolean;
  /** Wait at least this long before trying again; 0 where it is not tried again. */
  afterMs: number;
  reason: string;
}

const SECOND = 1000;
const MINUTE = 60 * SECOND;

/**
 * By the gateway's code. Source: Twilio's error dictionary and the descriptions in its OpenAPI document, which warns
 * that codes may change; so they only choose among five classes, and an unlisted code is judged by its HTTP status.
 * Rows marked "from memory" were not read there.
 */
const BY_CODE: Readonly<Record<number, ErrorRow>> = {
  20003: {
    class: 'retry',
    everywhere: true,
    afterMs: 5 * MINUTE,
    reason: 'account or token refused: an operator can mend it (from memory)',
  },
  20429: {
    class: 'retry',
    everywhere: true,
    afterMs: 5 * SECOND,
    reason: 'too many requests, not processed',
  },
  21211: { class: 'permanent', afterMs: 0, reason: 'not a phone number (from memory)' },
  21408: { class: 'permanent', afterMs: 0, reason: 'the account may not send to this country (from memory)' },
  21610: { class: 'opted-out', afterMs: 0, reason: 'the recipient opted out' },
  21611: { class: 'retry', afterMs: MINUTE, reason: 'the queue of our number is full' },
  21614: { class: 'permanent', afterMs: 0, reason: 'not a mobile number (from memory)' },
  21617: { class: 'bug', afterMs: 0, reason: 'longer than 1600 characters: it should have been split' },
  21658: { class: 'bug', afterMs: 0, reason: 'longer than 1600 characters: it should have been split' },
  30001: { class: 'retry', afterMs: MINUTE, reason: 'the queue is full' },
  30003: { class: 'retry', afterMs: 2 * MINUTE, reason: 'the phone is off, without signal or a landline' },
  30004: { class: 'opted-out', afterMs: 0, reason: 'blocked by whoever should receive it (from memory)' },
  30005: { class: 'permanent', afterMs: 0, reason: 'the number does not exist' },
  30006: { class: 'permanent', afterMs: 0, reason: 'a landline, or a carrier that cannot be reached' },
  30007: { class: 'permanent', afterMs: 0, reason: 'filtered by the carrier or the gateway' },
  30008: { class: 'retry', afterMs: MINUTE, reason: 'unknown error at the carrier' },
};

/** Connections that never reached the gateway: nothing can have been sent. */
const NEVER_REACHED = new Set(['ECONNREFUSED', 'ENOTFOUND', 'EAI_AGAIN', 'ENETUNREACH', 'EHOSTUNREACH']);

/** Judges an answer of the gateway by its code, else by its HTTP status. */
export function classifyAnswer(status: number, code: number | null): ErrorRow {
  const row = code === null ? undefined : BY_CODE[code];
  if (row) return row;
  if (status === 429) return BY_CODE[20429]!;
  if (status === 401 || status === 403) return BY_CODE[20003]!;
  if (status >= 500)
    return { class: 'unclear', everywhere: true, afterMs: 0, reason: 'the gateway failed while handling it' };
  // A request refused for a reason that we do not know was most likely wrong.
  return { class: 'bug', afterMs: 0, reason: 'refused by the gateway for a reason not in the table' };
}

/** Judges a report that a text did not arrive. A code that is not known is taken as the end of it: a person is told. */
export function classifyReport(code: string | null): ErrorRow {
  const row = BY_CODE[Number(code)];
  return row && !row.everywhere
    ? row
    : { class: 'permanent', afterMs: 0, reason: 'not delivered, for a reason not in the table' };
}

/** Judges a request that got no answer. After a timeout or a cut connection the text may have been sent. */
export function classifySilence(networkCode: string): ErrorRow {
  return NEVER_REACHED.has(networkCode)
    ? { class: 'retry', everywhere: true, afterMs: 10 * SECOND, reason: 'the gateway could not be reached' }
    : { class: 'unclear', everywhere: true, afterMs: 0, reason: 'no answer from the gateway' };
}
