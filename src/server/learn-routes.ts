// The figures at the desk: drawn, and as a file for a spreadsheet.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import { recording } from '../duty/deeds.ts';
import { figuresCsv } from '../duty/learn/figures-csv.ts';
import { figuresPage } from '../duty/learn/figures-page.ts';
import { spanOf } from '../duty/learn/figures-words.ts';
import { queryOf } from './forms.ts';
import type { ServerParts } from './parts.ts';
import type { Seated } from './seat.ts';

export function mountLearn(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);
  const { pricePerPart } = parts.settings;

  app.get('/duty/figures', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    await record(seat.id, 'saw the figures');
    const span = spanOf(queryOf(request, 'weeks'));
    const { figures, isBehind } = await parts.learn.figures(span);
    response
      .type('html')
      .send(figuresPage(seat.reader, seat.sitting, { figures, span, pricePerPart, isBehind }));
  });

  app.get('/duty/figures.csv', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    await record(seat.id, 'took the figures as a file');
    const span = spanOf(queryOf(request, 'weeks'));
    const { figures } = await parts.learn.figures(span);
    response.attachment(`palmward-figures-${span}-weeks.csv`).type('text/csv');
    response.send(figuresCsv(seat.reader, figures, pricePerPart));
  });
}
