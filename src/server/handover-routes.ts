// The handover behind the desk's sign-in: a sheet to print, a FHIR document, and texts to a facility.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { readReserved } from '../channels/phone/reserved.ts';
import { recording } from '../duty/deeds.ts';
import { noSuchCase } from '../duty/case/case-page.ts';
import type { Refusal } from '../duty/handover/handover-form.ts';
import { handoverPage, tellIn, type Recorded } from '../duty/handover/handover-page.ts';
import { sameToken } from '../duty/entry/sessions.ts';
import { fieldOf, queryOf, readForm } from './forms.ts';
import type { ServerParts } from './parts.ts';
import type { Seat, Seated } from './seat.ts';

const PAGE = '/duty/cases/:code/handover';

/** `seated` shows whoever is not signed in the way in. */
export function mountHandover(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);

  app.get(PAGE, async (request, response) => {
    const found = await find(request, response, request.params.code);
    if (!found) return;
    const language = languageIn(found.recorded, queryOf(request, 'language') ?? found.seat.reader.language);
    send(response, found, { refusal: null, number: '', language });
  });

  app.get(`${PAGE}.json`, async (request, response) => {
    const found = await find(request, response, request.params.code);
    if (!found) return;
    const language = languageIn(found.recorded, found.seat.reader.language);
    response.type('application/fhir+json');
    response.send(JSON.stringify(parts.handover.documentOf(found.recorded, language)));
  });

  app.post(PAGE, readForm, async (request, response) => {
    const found = await find(request, response, request.params.code);
    if (!found) return;
    const given = fieldOf(request, 'number');
    const language = languageIn(found.recorded, fieldOf(request, 'language'));
    const { code } = found.recorded.case;
    const refuse = (status: number, refusal: Refusal) => {
      response.status(status);
      send(response, found, { refusal, number: given, language });
    };
    if (!sameToken(fieldOf(request, 'token'), found.seat.sitting.formToken)) return refuse(403, 'stale');
    if (fieldOf(request, 'confirm') !== 'yes') return refuse(400, 'not-confirmed');
    const number = readFacility(given, parts.settings.practicePhone);
    if ('refusal' in number) return refuse(400, number.refusal);
    const outcome = await parts.handover.send(code, number.number, language);
    if (outcome !== 'sent') return refuse(409, outcome);
    await record(found.seat.id, 'sent a handover', code);
    response.redirect(303, `/duty/cases/${code}/handover`);
  });

  async function find(
    request: Request,
    response: Response,
    code: string,
  ): Promise<{ seat: Seat; recorded: Recorded } | null> {
    const seat = await seated(request, response);
    if (!seat) return null;
    const recorded = await parts.handover.recordOf(code.toUpperCase());
    if (recorded) {
      await record(seat.id, 'saw a handover', recorded.case.code);
      return { seat, recorded };
    }
    response.status(404).type('html').send(noSuchCase(seat.reader, seat.sitting));
    return null;
  }
}

function send(
  response: Response,
  { seat: { reader, sitting }, recorded }: { seat: Seat; recorded: Recorded },
  sending: Parameters<typeof handoverPage>[2],
): void {
  const telling = tellIn(recorded, languageIn(recorded, reader.language));
  response.type('html').send(handoverPage(sitting, { reader, telling }, sending));
}

/** A version may have other languages than the one in force: its first then. */
function languageIn({ protocol: { words } }: Recorded, asked: string): string {
  return words.languages.includes(asked) ? asked : (words.languages[0] ?? asked);
}

/** E.164. Practice stays practice: there only numbers that nobody has, and on a real line none of those. */
function readFacility(given: string, practice: boolean): { number: string } | { refusal: Refusal } {
  const number = given.replace(/[\s().-]/g, '');
  if (!/^\+[1-9]\d{6,14}$/.test(number)) return { refusal: 'no-number' };
  const isReserved = readReserved(number) !== null;
  if (practice && !isReserved) return { refusal: 'only-practice' };
  return !practice && isReserved ? { refusal: 'nobody' } : { number };
}
