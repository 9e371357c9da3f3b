// The desk's first page: the open cases.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import { caseListPage } from '../duty/case-list.ts';
import { recording } from '../duty/deeds.ts';
import type { ServerParts } from './parts.ts';
import type { Seated } from './seat.ts';

const MOST_CASES = 200;

export function mountList(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);

  app.get('/duty', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    await record(seat.id, 'saw the list');
    const cases = await parts.ledger.openCases(MOST_CASES);
    response.type('html').send(caseListPage(seat.reader, seat.sitting, cases, parts.signature));
  });
}
