// One case at the desk.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express } from 'express';
import { casePage, noSuchCase } from '../duty/case-page.ts';
import { type CaseView, tellCase } from '../duty/case-view.ts';
import { recording } from '../duty/deeds.ts';
import type { ServerParts } from './parts.ts';
import type { Seat, Seated } from './seat.ts';

/** Of very many the newest deeds about a case are shown. *Choice*. */
const MOST_DEEDS = 300;

export function mountCase(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);

  app.get('/duty/cases/:code', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const view = await viewOf(parts, seat, request.params.code.toUpperCase());
    response.type('html');
    if (!view) return void response.status(404).send(noSuchCase(seat.reader, seat.sitting));
    await record(seat.id, 'saw a case', view.telling.case.code);
    response.send(casePage(view));
  });
}

/** Null where there is no such case. */
export async function viewOf(parts: ServerParts, seat: Seat, code: string): Promise<CaseView | null> {
  const { ledger, handover } = parts;
  const recorded = await handover.recordOf(code);
  if (!recorded) return null;
  const [texts, events, deeds, clinicians] = await Promise.all([
    ledger.conversation(code),
    ledger.events(code),
    ledger.deedsAbout(code, MOST_DEEDS),
    ledger.clinicians(),
  ]);
  const { languages } = recorded.protocol.words;
  const language = languages.includes(seat.reader.language) ? seat.reader.language : (languages[0] ?? 'en');
  return {
    reader: seat.reader,
    sitting: seat.sitting,
    me: seat.id,
    telling: tellCase(recorded, language),
    texts,
    events: events.map(({ event }) => event),
    deeds,
    clinicians,
  };
}
