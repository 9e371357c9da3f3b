// The desk's first page: the open cases, and the stream by which the page keeps itself up to date.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import { createSession } from 'better-sse';
import type { Express, Request } from 'express';
import { gapNote } from '../duty/rota/gap-note.ts';
import { listPage } from '../duty/list/list-page.ts';
import { recording } from '../duty/deeds.ts';
import {
  type Listed,
  type Made,
  newsSince,
  rememberStates,
  type View,
  viewOf,
} from '../duty/list/list-view.ts';
import { boundsAt } from '../duty/list/needs.ts';
import { describeFault } from './describe-fault.ts';
import { queryOf } from './forms.ts';
import { startRounds } from './list-rounds.ts';
import type { ServerParts } from './parts.ts';
import type { Peeked, Seat, Seated } from './seat.ts';

/** Of very many the most pressing are shown. *Choice*: more than anybody reads. */
const MOST_CASES = 200;
/** How soon a browser comes back by itself. */
const RETRY_MS = 2000;
/** A page that takes nothing any more is not written to. */
const MOST_UNREAD = 1_000_000;

const CODE_SIGNS = /[^A-Z0-9]/g;

export function mountList(app: Express, parts: ServerParts, seated: Seated, peeked: Peeked): void {
  const { ledger, list } = parts;
  const record = recording(parts);
  const made: Made = new Map();
  const states = rememberStates();
  const rounds = startRounds(list.changes, (fault) =>
    parts.log.warn({ fault: describeFault(fault) }, 'a live list could not look anew'),
  );
  const readBefore = new WeakMap<object, Map<string | null, Promise<Listed>>>();

  app.get('/duty', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const asked = queryOf(request, 'code')?.trim() ?? '';
    const code = asked.toUpperCase().replace(CODE_SIGNS, '');
    const found = code === '' ? null : await ledger.case(code);
    if (found) return response.redirect(303, `/duty/cases/${found.code}`);
    await record(seat.id, 'saw the list');
    const view = await viewFor(seat, request, {});
    const gap = gapNote(seat.reader, await ledger.clinicians(), { me: seat.id, zone: parts.rota.zone });
    const how = { mine: isMine(request), missing: asked === '' ? null : asked.slice(0, 20), gap };
    response.type('html').send(listPage(seat.reader, seat.sitting, view, how, parts.signature));
  });

  app.get('/duty/news', async (request, response) => {
    const first = await peeked(request);
    if (!first || list.changes.over.aborted) return void response.sendStatus(first ? 503 : 401);
    const session = await createSession(request, response, { keepAlive: null, retry: RETRY_MS });
    let after = request.get('last-event-id') || (queryOf(request, 'after') ?? '');
    const leave = rounds.join(async (round) => {
      const seat = await peeked(request);
      if (!session.isConnected || response.writableLength > MOST_UNREAD) return;
      if (!seat) {
        session.push(null, 'out');
        return end();
      }
      const view = await viewFor(seat, request, round);
      if (!session.isConnected) return;
      session.push({ ...newsSince(seat.reader, view, after, states), stay: seat.stay }, 'news', view.id);
      after = view.id;
    });
    const end = () => {
      leave();
      response.end();
    };
    session.once('disconnected', leave);
    list.changes.over.addEventListener('abort', end, { once: true });
    session.once('disconnected', () => list.changes.over.removeEventListener('abort', end));
  });

  app.get('/duty/news/now', async (request, response) => {
    const seat = await peeked(request);
    if (!seat) return void response.sendStatus(401);
    const view = await viewFor(seat, request, {});
    const news = newsSince(seat.reader, view, queryOf(request, 'after') ?? '', states);
    response.json({ ...news, stay: seat.stay });
  });

  /** Within one round every list of the same cases is read once. */
  async function viewFor({ id, reader }: Seat, request: Request, round: object): Promise<View> {
    const clinician = isMine(request) ? id : null;
    const reads = readBefore.get(round) ?? new Map<string | null, Promise<Listed>>();
    readBefore.set(round, reads);
    const reading = reads.get(clinician) ?? read(clinician, reader.now);
    reads.set(clinician, reading);
    const view = viewOf(reader, id, await reading, made);
    states.keep(view);
    return view;
  }

  async function read(clinician: string | null, now: number): Promise<Listed> {
    const [{ cases, needs }, clinicians] = await Promise.all([
      ledger.listed({ clinician, ...boundsAt(now), limit: MOST_CASES }),
      ledger.clinicians(),
    ]);
    const names = new Map(clinicians.map(({ id, name }) => [id, name]));
    return { cases, needs, names, limitOf: list.limitOf };
  }
}

const isMine = (request: Request): boolean => queryOf(request, 'mine') !== null;
