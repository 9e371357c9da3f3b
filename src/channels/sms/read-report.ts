// Reads the gateway's delivery report about one outgoing text.
import type { Form } from './verify.ts';

/** A report worth keeping: which of our lines, what became of it, and the gateway's reason when it failed. */
export interface Report {
  by: { line: number } | { carrierId: string };
  status: 'sent' | 'delivered' | 'failed';
  carrierId: string;
  errorCode: string | null;
}

/** The gateway's words to ours; those not named here (queued, sending, …) say nothing about the outcome. */
const STATUSES: Readonly<Record<string, Report['status']>> = {
  sent: 'sent',
  delivered: 'delivered',
  read: 'delivered',
  undelivered: 'failed',
  failed: 'failed',
  canceled: 'failed',
};

/** `line` is what we put into the callback's address. Null: no news, or not a report. */
export function readReport(form: Form, line: unknown): Report | null {
  const { MessageSid: carrierId, MessageStatus: said, ErrorCode: code } = form;
  if (typeof carrierId !== 'string' || !carrierId || typeof said !== 'string') return null;
  const status = Object.hasOwn(STATUSES, said) ? STATUSES[said] : undefined;
  if (!status) return null;
  const by = typeof line === 'string' && /^\d{1,15}$/.test(line) ? { line: Number(line) } : { carrierId };
  return { by, status, carrierId, errorCode: typeof code === 'string' && code ? code : null };
}
