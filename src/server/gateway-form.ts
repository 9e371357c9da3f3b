// Reads the gateway's form posts: the busiest requests, so without what only pages need of a form reader.
import { parse } from 'node:querystring';
import type { NextFunction, Request, RequestHandler, Response } from 'express';

/** Far more than the gateway's fields and its longest text, six parts of any script, come to. */
const LARGEST_BYTES = 64 * 1024;
/** More fields than any post of the gateway has. */
const MOST_FIELDS = 1000;
const FORM = /^application\/x-www-form-urlencoded\b/i;
const CODED = /^(?!identity$)/i;

/** Sets `request.body` as `readForm` does; what is no plain form, is in any coding, or is too large is left to that one. */
export function readGatewayForm(otherwise: RequestHandler): RequestHandler {
  return (request: Request, response: Response, next: NextFunction): void => {
    if (!isPlain(request)) return void otherwise(request, response, next);
    const chunks: Buffer[] = [];
    request.on('data', (chunk: Buffer) => void chunks.push(chunk));
    request.once('error', next);
    request.once('end', () => {
      request.off('error', next);
      const [only] = chunks;
      const body = chunks.length === 1 && only ? only : Buffer.concat(chunks);
      request.body = parse(body.toString(), '&', '=', { maxKeys: MOST_FIELDS });
      next();
    });
  };
}

function isPlain({ headers }: Request): boolean {
  const length = Number(headers['content-length'] ?? Infinity);
  return (
    length <= LARGEST_BYTES &&
    FORM.test(headers['content-type'] ?? '') &&
    isUtf8(headers['content-type'] ?? '') &&
    !CODED.test(headers['content-encoding'] ?? 'identity')
  );
}

function isUtf8(type: string): boolean {
  return !/charset/i.test(type) || /charset="?utf-8/i.test(type);
}
