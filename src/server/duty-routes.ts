// The clinicians' desk: its door, and the rooms behind it.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { chooseLanguage } from '../channels/words.ts';
import type { Reader } from '../duty/desk.ts';
import { andMore, recording, sparingly } from '../duty/deeds.ts';
import { bareNumber, openDoor } from '../duty/entry/door.ts';
import { openSessions, sameToken, SESSION_MS, stayOf } from '../duty/entry/sessions.ts';
import { safeNext, type SignIn, signInPage } from '../duty/entry/sign-in-page.ts';
import { fieldOf, queryOf, readForm, tokenIn } from './forms.ts';
import { mountCase } from './case-routes.ts';
import { mountHandover } from './handover-routes.ts';
import { mountLearn } from './learn-routes.ts';
import { mountList } from './list-routes.ts';
import { networkOf } from './network.ts';
import { mountRota } from './rota-routes.ts';
import { mountProtocol } from './protocol-routes.ts';
import type { ServerParts } from './parts.ts';
import type { Seat } from './seat.ts';

const SESSION = 'palmward_duty';
/** Holds the sign-in form's token, as there is no session yet that could. */
const SIGN_IN = 'palmward_sign_in';
const MINUTE = 60_000;
/** Refused sign-ins written down a minute; those beyond are counted. *Choice*. */
const MOST_REFUSALS = 10;

export function mountDuty(app: Express, parts: ServerParts): void {
  const { needsSecondFactor: needsFactor } = parts.settings;
  const door = openDoor(parts, needsFactor);
  const record = recording(parts);
  const isWrittenDown = sparingly(MOST_REFUSALS, MINUTE);
  const sessions = openSessions(parts.randomToken);
  const cookie = {
    httpOnly: true,
    sameSite: 'strict',
    secure: parts.settings.publicUrl?.startsWith('https:') ?? false,
    path: '/duty',
  } as const;

  app.get('/duty/sign-in', (request, response) => {
    sendSignIn(request, response, 200, { fault: null, next: safeNext(queryOf(request, 'next')) });
  });

  app.post('/duty/sign-in', readForm, async (request, response) => {
    const next = safeNext(fieldOf(request, 'next'));
    const token = tokenIn(request, SIGN_IN);
    if (token === null || !sameToken(fieldOf(request, 'token'), token)) {
      return sendSignIn(request, response, 403, { fault: 'stale', next });
    }
    const now = parts.realNow();
    const [number, passphrase, code] = ['number', 'passphrase', 'code'].map((name) => fieldOf(request, name));
    const network = networkOf(request);
    const entry = await door.enter({ number: number!, passphrase: passphrase!, code: code!, network }, now);
    if (entry.outcome !== 'in') {
      if (entry.outcome !== 'locked' || entry.locks) await recordRefusal(number!, entry.outcome, now);
      const status = entry.outcome === 'locked' ? 429 : 401;
      return sendSignIn(request, response, status, { fault: entry.outcome, next });
    }
    await record(entry.clinician.id, 'signed in');
    sessions.end(tokenIn(request, SESSION));
    response.clearCookie(SIGN_IN, cookie);
    const started = sessions.start(entry.clinician.id, entry.hash, now);
    response.cookie(SESSION, started, { ...cookie, maxAge: SESSION_MS });
    response.redirect(303, next);
  });

  app.post('/duty/sign-out', readForm, async (request, response) => {
    const token = tokenIn(request, SESSION);
    const session = sessions.find(token, parts.realNow());
    if (session && !sameToken(fieldOf(request, 'token'), session.formToken)) {
      return sendSignIn(request, response, 403, { fault: 'stale', next: '/duty' });
    }
    // Ended first: a session that could not be written down must not stay open for that.
    sessions.end(token);
    response.clearCookie(SESSION, cookie);
    if (session) await record(session.clinicianId, 'signed out');
    response.redirect(303, '/duty/sign-in');
  });

  // A page's script tells that somebody is there; what it asks to stay up to date is no use of the session.
  app.post('/duty/here', readForm, async (request, response) => {
    const seat = await peeked(request);
    if (!seat) return void response.sendStatus(401);
    if (!sameToken(fieldOf(request, 'token'), seat.sitting.formToken)) return void response.sendStatus(403);
    const now = parts.realNow();
    const used = sessions.find(tokenIn(request, SESSION), now);
    if (!used) return void response.sendStatus(401);
    response.json(stayOf(used, now));
  });

  const peeked = (request: Request) =>
    seatOf(request, sessions.peek(tokenIn(request, SESSION), parts.realNow()));
  mountList(app, parts, seated, peeked);
  mountCase(app, parts, seated, peeked);
  mountHandover(app, parts, seated);
  mountRota(app, parts, seated);
  mountLearn(app, parts, seated);
  mountProtocol(app, parts, seated);

  /** Who it was is not written down, only a mark by which tries with one number are known as such. */
  async function recordRefusal(
    number: string,
    outcome: 'wrong' | 'no-factor' | 'locked',
    now: number,
  ): Promise<void> {
    const leftOut = isWrittenDown(now);
    if (leftOut === null) return;
    const did = outcome === 'locked' ? 'sign-in locked' : 'sign-in refused';
    await record(`number:${parts.markOf(bareNumber(number))}`, did, andMore(leftOut));
  }

  /**
   * Who sits at the desk; nobody: they are shown the way in. A clinician taken off the rota, or given a new passphrase,
   * loses their seat at once.
   */
  async function seated(request: Request, response: Response): Promise<Seat | null> {
    const seat = await seatOf(request, sessions.find(tokenIn(request, SESSION), parts.realNow()));
    if (!seat) response.redirect(303, `/duty/sign-in?next=${encodeURIComponent(safeNext(request.path))}`);
    return seat;
  }

  async function seatOf(request: Request, session: ReturnType<typeof sessions.find>): Promise<Seat | null> {
    const clinicians = session ? await parts.ledger.clinicians() : [];
    const clinician = clinicians.find(({ id }) => id === session?.clinicianId);
    if (session && clinician && (await parts.ledger.passphraseHash(clinician.id)) === session.hash) {
      const sitting = { name: clinician.name, formToken: session.formToken, at: request.path };
      const stay = stayOf(session, parts.realNow());
      return { id: clinician.id, reader: readerFor(request, clinician.language), sitting, stay };
    }
    return null;
  }

  function readerFor(request: Request, known: string | null): Reader {
    const { words } = parts;
    const language = chooseLanguage(words.languages, known, request.get('accept-language') ?? '');
    return { words, language, now: parts.caseNow() };
  }

  function sendSignIn(
    request: Request,
    response: Response,
    code: number,
    form: Pick<SignIn, 'fault' | 'next'>,
  ): void {
    const token = parts.randomToken();
    response.cookie(SIGN_IN, token, cookie);
    response
      .status(code)
      .type('html')
      .send(signInPage(readerFor(request, null), { ...form, token, needsFactor }));
  }
}
