// The files that pages load: one style, one script, the desk's own, and the handover's sheet. Squeezed once, at the start, and
// sent without the pages' many headers, so that a chat opens fast on a weak signal.
import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import type { Express, Request, Response } from 'express';
import { LIVE_SCRIPT } from '../channels/live-script.ts';
import { CASE_SCRIPT } from '../duty/case-script.ts';
import { LIST_SCRIPT } from '../duty/list-script.ts';

const STYLE = readFileSync(new URL('style.css', import.meta.url), 'utf8');
/** Apart from the rest: a chat on a weak signal does not pay for them. */
const DUTY = readFileSync(new URL('duty.css', import.meta.url), 'utf8');
const CASE = readFileSync(new URL('case.css', import.meta.url), 'utf8');
const FIGURES = readFileSync(new URL('figures.css', import.meta.url), 'utf8');
const SHEET = readFileSync(new URL('sheet.css', import.meta.url), 'utf8');
const ROTA = readFileSync(new URL('rota.css', import.meta.url), 'utf8');
/** Short: after an update, pages must not meet an old script for long. */
const KEPT_S = 600;

export function mountAssets(app: Express): void {
  app.get('/style.css', serve(STYLE, 'text/css'));
  app.get('/duty.css', serve(DUTY, 'text/css'));
  app.get('/case.js', serve(CASE_SCRIPT, 'text/javascript'));
  app.get('/case.css', serve(CASE, 'text/css'));
  app.get('/figures.css', serve(FIGURES, 'text/css'));
  app.get('/sheet.css', serve(SHEET, 'text/css'));
  app.get('/rota.css', serve(ROTA, 'text/css'));
  app.get('/duty.js', serve(LIST_SCRIPT, 'text/javascript'));
  app.get(['/chat.js', '/phone.js'], serve(LIVE_SCRIPT, 'text/javascript'));
}

function serve(text: string, type: string): (request: Request, response: Response) => void {
  const squeezed = gzipSync(text, { level: 9 });
  return (request, response) => {
    const takesGzip = request.acceptsEncodings('gzip') === 'gzip';
    response.setHeader('Content-Type', `${type}; charset=utf-8`);
    response.setHeader('Cache-Control', `public, max-age=${KEPT_S}`);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    response.setHeader('Vary', 'Accept-Encoding');
    if (takesGzip) response.setHeader('Content-Encoding', 'gzip');
    response.end(takesGzip ? squeezed : text);
  };
}
