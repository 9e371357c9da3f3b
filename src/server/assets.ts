// The files that pages load: one style, one script, the desk's own, and the handover's sheet. Squeezed once, at the start, and
// sent without the pages' many headers, so that a chat opens fast on a weak signal.
import { readFileSync } from 'node:fs';
import type { Express, Request, Response } from 'express';
import { CASE_SCRIPT } from '../duty/case/case-script.ts';
import { LIST_SCRIPT } from '../duty/list/list-script.ts';
import { iconSvg } from '../channels/icon.ts';
import { CHAT_SCRIPT, PHONE_SCRIPT } from '../channels/script/served.ts';
import { iconPng } from './icon-png.ts';
import { squeezeBoth, squeezingFor } from './squeeze.ts';

const STYLE = readFileSync(new URL('style.css', import.meta.url), 'utf8');
/** Apart from the rest: a chat on a weak signal does not pay for them. */
const DUTY = readFileSync(new URL('duty.css', import.meta.url), 'utf8');
const CASE = readFileSync(new URL('case.css', import.meta.url), 'utf8');
const FIGURES = readFileSync(new URL('figures.css', import.meta.url), 'utf8');
const SHEET = readFileSync(new URL('sheet.css', import.meta.url), 'utf8');
const ROTA = readFileSync(new URL('rota.css', import.meta.url), 'utf8');
/** Short: after an update, pages must not meet an old script for long. */
const KEPT_S = 600;
const ICON_KEPT_S = 86_400;
/** Pixels; as browsers ask for them before they install a page. */
const ICON_SIZES = [192, 512];

export function mountAssets(app: Express): void {
  app.get('/style.css', serve(STYLE, 'text/css'));
  app.get('/duty.css', serve(DUTY, 'text/css'));
  app.get('/case.js', serve(CASE_SCRIPT, 'text/javascript'));
  app.get('/case.css', serve(CASE, 'text/css'));
  app.get('/figures.css', serve(FIGURES, 'text/css'));
  app.get('/sheet.css', serve(SHEET, 'text/css'));
  app.get('/rota.css', serve(ROTA, 'text/css'));
  app.get('/duty.js', serve(LIST_SCRIPT, 'text/javascript'));
  app.get('/chat.js', serve(CHAT_SCRIPT, 'text/javascript'));
  app.get('/phone.js', serve(PHONE_SCRIPT, 'text/javascript'));
  app.get('/icon.svg', serve(iconSvg(), 'image/svg+xml'));
  for (const size of ICON_SIZES) app.get(`/icon-${size}.png`, drawOnce(size));
}

function drawOnce(size: number): (request: Request, response: Response) => void {
  let drawn: Buffer | null = null;
  return (_request, response) => {
    drawn ??= iconPng(size);
    response.setHeader('Content-Type', 'image/png');
    response.setHeader('Cache-Control', `public, max-age=${ICON_KEPT_S}`);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    response.end(drawn);
  };
}

function serve(text: string, type: string): (request: Request, response: Response) => void {
  const squeezed = squeezeBoth(text);
  return (request, response) => {
    const how = squeezingFor(request);
    response.setHeader('Content-Type', `${type}; charset=utf-8`);
    response.setHeader('Cache-Control', `public, max-age=${KEPT_S}`);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    response.setHeader('Vary', 'Accept-Encoding');
    if (how) response.setHeader('Content-Encoding', how);
    response.end(how ? squeezed[how] : text);
  };
}
