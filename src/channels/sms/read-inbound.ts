// Reads the gateway's form about one inbound text.
import type { Form } from './verify.ts';

/** A text that reached us, before it has a time. `id` is the carrier's message id. */
export interface InboundText {
  id: string;
  address: string;
  text: string;
  pictures: number;
}

const MOST_PICTURES = 10;

/** Null when the form names no sender or no message id: then it is no text at all. */
export function readInbound(form: Form): InboundText | null {
  const { MessageSid: id, From: from, Body: body, NumMedia: media } = form;
  if (typeof id !== 'string' || typeof from !== 'string' || !id || !from) return null;
  return {
    id,
    address: `sms:${from}`,
    text: typeof body === 'string' ? body : '',
    pictures: readCount(media),
  };
}

function readCount(value: unknown): number {
  const count = Number(value ?? 0);
  return Number.isInteger(count) && count > 0 ? Math.min(count, MOST_PICTURES) : 0;
}
