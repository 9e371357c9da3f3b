// Sends a page or a piece of one squeezed, as tightly as the browser takes it. Done beside the loop that answers everybody.
import { promisify } from 'node:util';
import { brotliCompress, brotliCompressSync, constants, gzip, gzipSync } from 'node:zlib';
import type { Request, Response } from 'express';

type Squeezing = 'br' | 'gzip';

const GZIP = { level: 9 };
const BROTLI = { params: { [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT } };

/** What a browser takes; null: nothing but plain text. */
export function squeezingFor(request: Request): Squeezing | null {
  return request.acceptsEncodings('br') ? 'br' : request.acceptsEncodings('gzip') ? 'gzip' : null;
}

/** For what is made once, at the start. */
export function squeezeBoth(text: string): Record<Squeezing, Buffer> {
  return { br: brotliCompressSync(text, BROTLI), gzip: gzipSync(text, GZIP) };
}

/**
 * Nothing that another site sends gets into these pages (forms from elsewhere are refused), so that their length tells
 * nobody what stands in them.
 */
export async function sendSqueezed(request: Request, response: Response, markup: string): Promise<void> {
  send(response, await squeeze(request, markup));
}

/** As it goes to this browser; `how` null: as plain text. */
export interface Squeezed {
  how: Squeezing | null;
  bytes: Buffer;
}

export async function squeeze(request: Request, markup: string): Promise<Squeezed> {
  const how = squeezingFor(request);
  if (!how) return { how, bytes: Buffer.from(markup) };
  const bytes =
    how === 'br' ? await promisify(brotliCompress)(markup, BROTLI) : await promisify(gzip)(markup, GZIP);
  return { how, bytes };
}

export function send(response: Response, { how, bytes }: Squeezed): void {
  response.type('html').vary('Accept-Encoding');
  if (how) response.setHeader('Content-Encoding', how);
  response.end(bytes);
}
