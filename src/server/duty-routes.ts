// The clinicians' desk: sign in, the open cases, one case, sign out.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { chooseLanguage } from '../channels/words.ts';
import { caseListPage } from '../duty/case-list.ts';
import { casePage, noSuchCase } from '../duty/case-page.ts';
import type { Reader, Sitting } from '../duty/desk.ts';
import { openDoor } from '../duty/door.ts';
import { openSessions, sameToken, SESSION_MS } from '../duty/sessions.ts';
import { safeNext, type SignIn, signInPage } from '../duty/sign-in-page.ts';
import { fieldOf, queryOf, readForm, tokenIn } from './forms.ts';
import { mountHandover } from './handover-routes.ts';
import type { ServerParts } from './parts.ts';

const SESSION = 'palmward_duty';
/** Holds the sign-in form's token, as there is no session yet that could. */
const SIGN_IN = 'palmward_sign_in';
const MOST_CASES = 200;

interface Seat {
  reader: Reader;
  sitting: Sitting;
}

export function mountDuty(app: Express, parts: ServerParts): void {
  const door = openDoor(parts);
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
    const entry = await door.enter(fieldOf(request, 'number'), fieldOf(request, 'passphrase'), now);
    if (entry.outcome !== 'in') {
      const code = entry.outcome === 'locked' ? 429 : 401;
      return sendSignIn(request, response, code, { fault: entry.outcome, next });
    }
    sessions.end(tokenIn(request, SESSION));
    response.clearCookie(SIGN_IN, cookie);
    response.cookie(SESSION, sessions.start(entry.clinician.id, now), { ...cookie, maxAge: SESSION_MS });
    response.redirect(303, next);
  });

  app.post('/duty/sign-out', readForm, (request, response) => {
    const token = tokenIn(request, SESSION);
    const session = sessions.find(token, parts.realNow());
    if (session && !sameToken(fieldOf(request, 'token'), session.formToken)) {
      return sendSignIn(request, response, 403, { fault: 'stale', next: '/duty' });
    }
    sessions.end(token);
    response.clearCookie(SESSION, cookie);
    response.redirect(303, '/duty/sign-in');
  });

  app.get('/duty', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const cases = await parts.ledger.openCases(MOST_CASES);
    response.type('html').send(caseListPage(seat.reader, seat.sitting, cases, parts.signature));
  });

  app.get('/duty/case/:code', async (request, response) => {
    const seat = await seated(request, response);
    if (!seat) return;
    const { ledger } = parts;
    const found = await ledger.case(request.params.code.toUpperCase());
    response.type('html');
    if (!found) return void response.status(404).send(noSuchCase(seat.reader, seat.sitting));
    const [conversation, events] = await Promise.all([
      ledger.conversation(found.code),
      ledger.events(found.code),
    ]);
    const opened = { case: found, conversation, events: events.length };
    response.send(casePage(seat.reader, seat.sitting, opened));
  });

  mountHandover(app, parts, seated);

  /** Who sits at the desk; nobody: they are shown the way in. A clinician taken off the rota loses their seat at once. */
  async function seated(request: Request, response: Response): Promise<Seat | null> {
    const session = sessions.find(tokenIn(request, SESSION), parts.realNow());
    const clinicians = session ? await parts.ledger.clinicians() : [];
    const clinician = clinicians.find(({ id }) => id === session?.clinicianId);
    if (session && clinician) {
      const sitting = { name: clinician.name, formToken: session.formToken };
      return { reader: readerFor(request, clinician.language), sitting };
    }
    response.redirect(303, `/duty/sign-in?next=${encodeURIComponent(safeNext(request.path))}`);
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
      .send(signInPage(readerFor(request, null), { ...form, token }));
  }
}
