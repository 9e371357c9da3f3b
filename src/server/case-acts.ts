// What a clinician does with a case at the desk: forms that are posted, done or refused, and written down.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { type DeskAct, readAct, reasonOf, wordsOf } from '../duty/case/act-form.ts';
import { casePage, caseFragment, type Shown } from '../duty/case/case-page.ts';
import type { CaseView } from '../duty/case/case-view.ts';
import { fieldsIn, fieldsOf, readJoints } from '../duty/case/correct-form.ts';
import { lookAt } from '../duty/case/correct-look.ts';
import { type Correcting, correctPage, lookPart } from '../duty/case/correct-page.ts';
import { type Did, recording } from '../duty/deeds.ts';
import { sameToken } from '../duty/entry/sessions.ts';
import { costOf, withPhrase } from '../duty/case/write-form.ts';
import { fieldOf, readForm } from './forms.ts';
import type { ServerParts } from './parts.ts';
import type { Peeked, Seat } from './seat.ts';

const DONE: Record<Exclude<DeskAct['do'], 'conclude'>, Did> = {
  take: 'took a case',
  pass: 'passed a case on',
  'put-down': 'put a case down',
  write: 'wrote to a helper',
  'hold-back': 'changed who speaks first',
  'let-out': 'let out what was held back',
  correct: 'corrected a plan',
  'set-pace': 'changed a watch',
  'check-now': 'asked for a check',
  pause: 'paused a watch',
  resume: 'resumed a watch',
};

/** How a case ended stands in the deed itself. */
const didOf = (act: DeskAct): Did =>
  act.do === 'conclude' ? `ended a case as ${act.outcome}` : DONE[act.do];

type Find = (request: Request, response: Response) => Promise<{ seat: Seat; view: CaseView } | null>;

export function mountCaseActs(
  app: Express,
  parts: ServerParts,
  {
    find,
    peeked,
    viewOf,
  }: { find: Find; peeked: Peeked; viewOf: (seat: Seat, code: string) => Promise<CaseView | null> },
): void {
  const record = recording(parts);
  const { pricePerPart } = parts.settings;
  const plain: Shown = { tried: null, text: '', pricePerPart };

  app.get('/duty/cases/:code/live', async (request, response) => {
    const seat = await peeked(request);
    if (!seat) return void response.sendStatus(401);
    const view = await viewOf(seat, request.params.code.toUpperCase());
    if (!view) return void response.sendStatus(404);
    response.setHeader('x-now', String(seat.reader.now));
    response.setHeader('x-stay', JSON.stringify(seat.stay));
    response.type('html').send(caseFragment(view, plain));
  });

  app.post('/duty/cases/:code/act', readForm, async (request, response) => {
    const found = await find(request, response);
    if (!found) return;
    const { seat, view } = found;
    const field = (name: string) => fieldOf(request, name);
    const show = (
      status: number,
      refusal: string | null,
      heldBy: string | null = null,
      text = wordsOf(field('text')),
    ) => {
      const tried = { refusal, heldBy, act: field('do'), typed: field };
      response.status(status).type('html').send(casePage(view, { tried, text, pricePerPart }));
    };
    if (!isOwn(request, seat)) return show(403, 'stale');
    const phrase = field('insert');
    if (phrase !== '') return show(200, null, null, withPhrase(view, wordsOf(field('text')), phrase));
    if (field('look') !== '') return show(200, null);
    const read = readAct(
      field,
      view.clinicians.map(({ id }) => id),
    );
    if (!read.ok) return show(read.refusal === 'not-confirmed' ? 200 : 400, read.refusal);
    const done = await act(seat, view, read.act, read.text);
    if (done.done)
      return response.redirect(303, `/duty/cases/${view.telling.case.code}${PLACE[read.act.do] ?? ''}`);
    const { view: now } = (await find(request, response)) ?? found;
    const tried = { refusal: done.refusal, heldBy: done.heldBy, act: field('do'), typed: field };
    response
      .status(409)
      .type('html')
      .send(casePage(now, { tried, text: wordsOf(field('text')), pricePerPart }));
  });

  app.post('/duty/cases/:code/measure', readForm, async (request, response) => {
    const found = await peekInto(request, response);
    if (!found) return;
    const text = wordsOf(fieldOf(request, 'text'));
    response.type('html').send(costOf(found.view, { text, pricePerPart }).markup);
  });

  app.get('/duty/cases/:code/correct', async (request, response) => {
    const found = await find(request, response);
    if (!found) return;
    const fields = fieldsOf(found.view.telling.case.plan?.position ?? []);
    sendCorrecting(response, found.view, { fields, reason: '', refusal: null });
  });

  app.post('/duty/cases/:code/correct', readForm, async (request, response) => {
    const found = await find(request, response);
    if (!found) return;
    const { seat, view } = found;
    const field = (name: string) => fieldOf(request, name);
    const fields = fieldsIn(field);
    const show = (status: number, refusal: string | null) => {
      response.status(status);
      sendCorrecting(response, view, { fields, reason: wordsOf(field('reason')), refusal });
    };
    if (!isOwn(request, seat)) return show(403, 'stale');
    if (field('look') !== '') return show(200, null);
    if (lookAt(view.telling, fields).faults.length > 0) return show(400, 'faulty-plan');
    const reason = reasonOf(field);
    if (reason === null) return show(400, 'no-reason');
    const done = await act(seat, view, { do: 'correct', joints: readJoints(fields).joints, reason }, '');
    if (!done.done) return show(409, done.refusal);
    response.redirect(303, `/duty/cases/${view.telling.case.code}#plan`);
  });

  app.post('/duty/cases/:code/correct/look', readForm, async (request, response) => {
    const found = await peekInto(request, response);
    if (!found) return;
    const fields = fieldsIn((name) => fieldOf(request, name));
    response.type('html').send(lookPart(found.view, lookAt(found.view.telling, fields)).markup);
  });

  function act(seat: Seat, view: CaseView, wanted: DeskAct, text: string) {
    return parts.casework
      .act({ code: view.telling.case.code, clinician: seat.id, act: wanted, text })
      .then(async (done) => {
        if (done.done) await record(seat.id, didOf(wanted), view.telling.case.code);
        return done;
      });
  }

  /** For what the script asks on the way: no use of the session, and nothing is shown that the page does not. */
  async function peekInto(
    request: Request,
    response: Response,
  ): Promise<{ seat: Seat; view: CaseView } | null> {
    const seat = await peeked(request);
    const view =
      seat && isOwn(request, seat) ? await viewOf(seat, String(request.params['code']).toUpperCase()) : null;
    if (seat && view) return { seat, view };
    response.sendStatus(seat ? 404 : 401);
    return null;
  }

  function sendCorrecting(response: Response, view: CaseView, rest: Omit<Correcting, 'looked'>): void {
    response.type('html').send(correctPage(view, { ...rest, looked: lookAt(view.telling, rest.fields) }));
  }
}

const isOwn = (request: Request, { sitting }: Seat): boolean =>
  sameToken(fieldOf(request, 'token'), sitting.formToken);

/** Where on the page an act is seen to be done. */
const PLACE: Partial<Record<DeskAct['do'], string>> = { take: '#write', write: '#talk', 'let-out': '#held' };
