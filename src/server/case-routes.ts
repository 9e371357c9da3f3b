// One case at the desk.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import { casePage, noSuchCase } from '../duty/case-page.ts';
import { recording } from '../duty/deeds.ts';
import type { ServerParts } from './parts.ts';
import type { Seated } from './seat.ts';

export function mountCase(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);

  app.get('/duty/cases/:code', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const { ledger } = parts;
    const found = await ledger.case(request.params.code.toUpperCase());
    response.type('html');
    if (!found) return void response.status(404).send(noSuchCase(seat.reader, seat.sitting));
    await record(seat.id, 'saw a case', found.code);
    const [conversation, events] = await Promise.all([
      ledger.conversation(found.code),
      ledger.events(found.code),
    ]);
    const opened = { case: found, conversation, events: events.length };
    response.send(casePage(seat.reader, seat.sitting, opened));
  });
}
