// Reads the gateway's form posts: the busiest requests, so without what only pages need of a form reader.
import type { IncomingMessage } from 'node:http';
import { parse } from 'node:querystring';
import type { Form } from '../channels/sms/verify.ts';

/** Far more than the gateway's fields and its longest text, six parts of any script, come to. */
const LARGEST_BYTES = 64 * 1024;
/** More fields than any post of the gateway has. */
const MOST_FIELDS = 1000;
const FORM = /^application\/x-www-form-urlencoded\b/i;

/**
 * The fields, or null where the body is larger than any of the gateway's. What is no form has no fields: then its
 * signature cannot fit. A sender who breaks off midway gets no answer, and nothing is taken of what it sent.
 */
export function readPost(request: IncomingMessage, taken: (form: Form | null) => void): void {
  const isForm = FORM.test(request.headers['content-type'] ?? '');
  let chunks: Buffer[] = [];
  let bytes = 0;
  request.on('data', (chunk: Buffer) => {
    if (bytes > LARGEST_BYTES) return;
    bytes += chunk.length;
    chunks.push(chunk);
    if (bytes <= LARGEST_BYTES) return;
    chunks = [];
    taken(null);
  });
  request.on('end', () => {
    if (bytes > LARGEST_BYTES) return;
    const [only] = chunks;
    const body = chunks.length === 1 && only ? only : Buffer.concat(chunks);
    taken(isForm ? parse(body.toString(), '&', '=', { maxKeys: MOST_FIELDS }) : {});
  });
  request.on('error', () => void (bytes = Infinity));
}
