// The last stop of every request that found no answer or failed: one plain line, never how we are built.
import type { ErrorRequestHandler, Request, RequestHandler, Response } from 'express';
import { chooseLanguage, type Words } from '../channels/words.ts';
import { describeFault, placesOf } from './describe-fault.ts';
import type { ServerParts } from './parts.ts';

export const notFound =
  (words: Words): RequestHandler =>
  (request, response) =>
    sayPlainly(words, request, response, 404, 'not-found');

/** The body that a parser choked on may hold a text, so of the fault only its name and place are logged. */
export function sayFault({ words, log }: Pick<ServerParts, 'words' | 'log'>): ErrorRequestHandler {
  return (fault: unknown, request, response, next) => {
    const code = statusOf(fault);
    if (code >= 500) {
      const at = fault instanceof Error ? placesOf(fault).slice(0, 5) : [];
      log.error({ fault: describeFault(fault), at, route: request.path.split('/')[1] }, 'request failed');
    }
    if (response.headersSent) return next(fault);
    sayPlainly(words, request, response, code, WORDS_FOR[code] ?? 'broken');
  };
}

const WORDS_FOR: Readonly<Record<number, string>> = { 400: 'malformed', 413: 'too-large' };

function statusOf(fault: unknown): 400 | 413 | 500 {
  const { status } = (fault ?? {}) as { status?: unknown };
  if (status === 413) return 413;
  return typeof status === 'number' && status >= 400 && status < 500 ? 400 : 500;
}

function sayPlainly(words: Words, request: Request, response: Response, code: number, key: string): void {
  const language = chooseLanguage(words.languages, null, request.get('accept-language') ?? '');
  response
    .status(code)
    .type('text/plain')
    .send(`${words.say(language, `pages.fault.${key}`)}\n`);
}
