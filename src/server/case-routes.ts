// One case at the desk.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { casePage, noSuchCase } from '../duty/case/case-page.ts';
import { type CaseView, tellCase } from '../duty/case/case-view.ts';
import { recording } from '../duty/deeds.ts';
import { mountCaseActs } from './case-acts.ts';
import type { ServerParts } from './parts.ts';
import type { Peeked, Seat, Seated } from './seat.ts';

/** Of very many the newest deeds about a case are shown. *Choice*. */
const MOST_DEEDS = 300;

export function mountCase(app: Express, parts: ServerParts, seated: Seated, peeked: Peeked): void {
  const record = recording(parts);

  app.get('/duty/cases/:code', async (request, response) => {
    const found = await find(request, response);
    if (!found) return;
    const { seat, view } = found;
    await record(seat.id, 'saw a case', view.telling.case.code);
    const { pricePerPart } = parts.settings;
    response.type('html').send(casePage(view, { tried: null, text: '', pricePerPart }));
  });

  mountCaseActs(app, parts, { find, peeked, viewOf: (seat, code) => viewOf(parts, seat, code) });

  async function find(request: Request, response: Response): Promise<{ seat: Seat; view: CaseView } | null> {
    const seat = await seated(request, response);
    if (!seat) return null;
    const view = await viewOf(parts, seat, String(request.params['code']).toUpperCase());
    if (view) return { seat, view };
    response.status(404).type('html').send(noSuchCase(seat.reader, seat.sitting));
    return null;
  }
}

/** Null where there is no such case. */
async function viewOf(parts: ServerParts, seat: Seat, code: string): Promise<CaseView | null> {
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
    held: parts.casework.heldIn(recorded.case),
  };
}
