// For machines that look after the server: alive, ready to serve, and its figures.
import type { Express } from 'express';
import type { ServerParts } from './parts.ts';

export function mountHealth(app: Express, { ready, metrics }: Pick<ServerParts, 'ready' | 'metrics'>): void {
  app.get('/healthz', (_request, response) => {
    response.type('text/plain').send('ok\n');
  });

  app.get('/readyz', async (_request, response) => {
    const state = await ready();
    response
      .status(state.ready ? 200 : 503)
      .type('text/plain')
      .send(`${state.why}\n`);
  });

  app.get('/metrics', async (_request, response) => {
    response.setHeader('Content-Type', 'text/plain; version=0.0.4; charset=utf-8');
    response.end(await metrics());
  });
}
