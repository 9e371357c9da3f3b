// The protocol at the desk: its first page, what changed, and each row's plans.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import { recording } from '../duty/deeds.ts';
import { changesPage, protocolPage, rowPage } from '../duty/learn/protocol-page.ts';
import type { ServerParts } from './parts.ts';
import type { Seated } from './seat.ts';

export function mountProtocol(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);
  const { protocol } = parts;

  app.get('/duty/protocol', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    await record(seat.id, 'saw the protocol');
    response.type('html').send(await protocolPage(seat.reader, seat.sitting, protocol));
  });

  app.get('/duty/protocol/changes', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    await record(seat.id, 'saw the protocol');
    response.type('html').send(changesPage(seat.reader, seat.sitting, await protocol.changes()));
  });

  app.get('/duty/protocol/:row', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const { row } = request.params;
    if (!protocol.rows.includes(row)) return response.redirect(303, '/duty/protocol');
    await record(seat.id, 'saw the protocol');
    const plans = await protocol.plans();
    response.type('html').send(rowPage(seat.reader, seat.sitting, row, plans[row] ?? []));
  });
}
