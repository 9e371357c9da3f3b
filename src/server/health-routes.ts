// For machines that look after the server: alive, ready to serve, and its figures.
import type { Express, Request } from 'express';
import type { ServerParts } from './parts.ts';

type Parts = Pick<ServerParts, 'ready' | 'metrics'> & { settings: { metricsPublic: boolean } };

/** Marks that a proxy leaves: what it passes on comes from the world, though it reaches us from this machine. */
const PASSED_ON = [
  'x-forwarded-for',
  'x-forwarded-host',
  'x-forwarded-proto',
  'forwarded',
  'via',
  'x-real-ip',
];

export function mountHealth(app: Express, { ready, metrics, settings }: Parts): void {
  const isInsider = (request: Request) => settings.metricsPublic || isFromThisMachine(request);

  app.get('/healthz', (_request, response) => {
    response.type('text/plain').send('ok\n');
  });

  app.get('/readyz', async (request, response) => {
    const state = await ready();
    const lines = [state.why, ...(isInsider(request) ? state.details : [])];
    response
      .status(state.ready ? 200 : 503)
      .type('text/plain')
      .send(lines.map((line) => `${line}\n`).join(''));
  });

  app.get('/metrics', async (request, response, next) => {
    if (!isInsider(request)) return next();
    response.setHeader('Content-Type', 'text/plain; version=0.0.4; charset=utf-8');
    response.end(await metrics());
  });
}

function isFromThisMachine(request: Request): boolean {
  const from = request.socket.remoteAddress ?? '';
  const isNear = from === '::1' || /^(::ffff:)?127[.]/.test(from);
  return isNear && PASSED_ON.every((header) => request.get(header) === undefined);
}
