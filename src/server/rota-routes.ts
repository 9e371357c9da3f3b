// The rota behind the desk's sign-in: who is on call when, and every change of it.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { recording } from '../duty/deeds.ts';
import { bareNumber } from '../duty/entry/door.ts';
import { enrolledPage } from '../duty/rota/enrol-form.ts';
import { giveSignIn, isNumber, newClinicianId } from '../duty/entry/enrolment.ts';
import type { Clinician } from '../duty/kept.ts';
import { noSuchPerson, personPage, removePage } from '../duty/rota/rota-person.ts';
import { rotaPage } from '../duty/rota/rota-page.ts';
import { zoneOf } from '../duty/rota/rota-times.ts';
import type { RotaFault, RotaView } from '../duty/rota/rota-view.ts';
import { askAgain } from '../duty/entry/second-factor.ts';
import { sameToken } from '../duty/entry/sessions.ts';
import { handingOn, newDuty, readShift, without, withException, withShift } from '../shifts/change.ts';
import { isZone, readWall, zones } from '../shifts/civil.ts';
import type { Duty } from '../shifts/types.ts';
import { fieldOf, fieldsOf, readForm } from './forms.ts';
import type { ServerParts } from './parts.ts';
import type { Seat, Seated } from './seat.ts';

const PAGE = '/duty/rota';
const PERSON = `${PAGE}/people/:id`;
const LONGEST_NAME = 60;
/** Fields that are never given back with a refusal. */
const NOT_GIVEN_BACK = ['token', 'code'];

interface Posted {
  seat: Seat;
  view: RotaView;
}

/** `seated` shows whoever is not signed in the way in. */
export function mountRota(app: Express, parts: ServerParts, seated: Seated): void {
  const record = recording(parts);
  const { ledger, rota } = parts;
  const needsFactor = parts.settings.needsSecondFactor;
  const proves = askAgain(ledger, needsFactor);
  const known = zones();

  app.get(PAGE, async (request, response) => {
    const found = await enter(request, response);
    if (!found) return;
    await record(found.seat.id, 'saw the rota');
    send(response, rotaPage(found.view, known, needsFactor));
  });

  app.post(`${PAGE}/hand-on`, readForm, async (request, response) => {
    const found = await post(request, response, showRota);
    if (!found) return;
    const { seat, view } = found;
    const handing = handingOn(view.clinicians, seat.reader.now);
    if (!handing) return showRota(response, 409, refused(view, 'alone', request));
    // To the one that the page named, so that a page of before hands it to nobody else.
    if (handing.from !== seat.id || handing.to !== fieldOf(request, 'to'))
      return showRota(response, 409, refused(view, 'not-first', request));
    const { exception } = handing;
    await ledger.changeDuty(handing.to, (before) =>
      withException(before ?? newDuty(rota.zone), exception, seat.reader.now),
    );
    await rota.handOn(seat.id);
    await record(seat.id, 'handed the phone on', handing.to);
    response.redirect(303, PAGE);
  });

  app.post(`${PAGE}/move`, readForm, async (request, response) => {
    const found = await post(request, response, showRota);
    if (!found) return;
    const ids = found.view.clinicians.map(({ id }) => id);
    const at = ids.indexOf(fieldOf(request, 'id'));
    const to = at + (fieldOf(request, 'way') === 'up' ? -1 : 1);
    if (at >= 0 && to >= 0 && to < ids.length) {
      [ids[at], ids[to]] = [ids[to]!, ids[at]!];
      await ledger.reorder(ids);
      await record(found.seat.id, 'changed the order of the rota', ids[to]);
    }
    response.redirect(303, PAGE);
  });

  app.post(`${PAGE}/add`, readForm, async (request, response) => {
    const found = await post(request, response, showRota);
    if (!found) return;
    const { seat, view } = found;
    const read = readClinician(request, view);
    const refuse = (status: number, fault: RotaFault) =>
      showRota(response, status, refused(view, fault, request));
    if (typeof read === 'string') return refuse(400, read);
    // Asked last: a code works once, and a slip in a name should not cost one.
    const factor = await proves(seat.id, fieldOf(request, 'code'), parts.realNow());
    if (factor !== 'in') return refuse(factor === 'locked' ? 429 : 403, factor);
    const { kept, shown } = await giveSignIn(ledger, { id: newClinicianId(), ...read });
    await record(seat.id, 'enrolled', kept.id);
    await ledger.changeDuty(kept.id, () => newDuty(read.zone));
    send(response, enrolledPage(seat, kept, shown));
  });

  app.get(PERSON, async (request, response) => {
    const found = await enterOf(request, response, request.params.id);
    if (!found) return;
    await record(found.seat.id, 'saw the rota', found.one.id);
    send(response, personPage(found.view, found.one, known));
  });

  app.post(`${PERSON}/shift`, readForm, async (request, response) => {
    const found = await postOf(request, response, request.params.id);
    if (!found) return;
    const [from, to] = [fieldOf(request, 'from'), fieldOf(request, 'to')];
    const days = fieldOf(request, 'weekdays').split(' ').filter(Boolean);
    const shifts = days.flatMap((weekday) => readShift(weekday, from, to) ?? []);
    if (shifts.length === 0 || shifts.length < days.length) return found.refuse('no-shift');
    await found.change('changed a shift', (duty) => shifts.reduce(withShift, duty));
  });

  app.post(`${PERSON}/exception`, readForm, async (request, response) => {
    const found = await postOf(request, response, request.params.id);
    if (!found) return;
    const { now } = found.seat.reader;
    const kind = fieldOf(request, 'kind') === 'on' ? 'on' : 'off';
    const zone = zoneOf(found.one, rota.zone);
    const [from, to] = ['begin', 'end'].map((name) => readWall(zone, fieldOf(request, name)));
    if (from == null || to == null || to <= from || to <= now) return found.refuse('no-time');
    const did = kind === 'on' ? 'set an extra shift' : 'set an absence';
    await found.change(did, (duty) => withException(duty, { kind, from, to }, now));
  });

  app.post(`${PERSON}/drop`, readForm, async (request, response) => {
    const found = await postOf(request, response, request.params.id);
    if (!found) return;
    const name = fieldOf(request, 'name');
    const did = /^\d/.test(name) ? 'changed a shift' : 'took out an exception';
    await found.change(did, (duty) => without(duty, name), { mayStay: true });
  });

  app.post(`${PERSON}/zone`, readForm, async (request, response) => {
    const found = await postOf(request, response, request.params.id);
    if (!found) return;
    const zone = fieldOf(request, 'zone');
    if (!isZone(zone)) return found.refuse('no-zone');
    await found.change('changed a time zone', (duty) => ({ ...duty, zone }));
  });

  app.get(`${PERSON}/remove`, async (request, response) => {
    const found = await enterOf(request, response, request.params.id);
    if (found) send(response, removePage(found.view, found.one));
  });

  app.post(`${PERSON}/remove`, readForm, async (request, response) => {
    const found = await enterOf(request, response, request.params.id);
    if (!found) return;
    const { seat, view, one } = found;
    const refuse = (status: number, fault: RotaFault) =>
      send(response.status(status), removePage({ ...view, fault }, one));
    if (!isFresh(request, seat)) return refuse(403, 'stale');
    if (fieldOf(request, 'confirm') !== 'yes') return refuse(400, 'not-confirmed');
    const left = await ledger.retire(one.id, true);
    // Asked again: somebody else may just have taken off the other one, or this one.
    if (!left && (await ledger.clinicians()).some(({ id }) => id === one.id)) return refuse(409, 'last');
    if (left) await record(seat.id, 'retired', one.id);
    await rota.passOn();
    response.redirect(303, PAGE);
  });

  async function enter(request: Request, response: Response): Promise<Posted | null> {
    const seat = await seated(request, response);
    if (!seat) return null;
    const { reader, sitting, id: me } = seat;
    const shared = { zone: rota.zone, languages: parts.words.languages, fault: null, typed: {} };
    return { seat, view: { reader, sitting, me, clinicians: await ledger.clinicians(), ...shared } };
  }

  async function enterOf(
    request: Request,
    response: Response,
    id: string,
  ): Promise<(Posted & { one: Clinician }) | null> {
    const found = await enter(request, response);
    if (!found) return null;
    const one = found.view.clinicians.find((each) => each.id === id);
    if (one) return { ...found, one };
    send(response.status(404), noSuchPerson(found.view));
    return null;
  }

  /** Somebody who sits there and sent the form of a page of theirs. */
  async function post(
    request: Request,
    response: Response,
    show: (response: Response, status: number, view: RotaView) => void,
  ): Promise<Posted | null> {
    const found = await enter(request, response);
    if (!found || isFresh(request, found.seat)) return found;
    show(response, 403, refused(found.view, 'stale', request));
    return null;
  }

  async function postOf(request: Request, response: Response, id: string) {
    const found = await enterOf(request, response, id);
    if (!found) return null;
    const { seat, view, one } = found;
    const refuse = (fault: RotaFault, status = 400): void =>
      send(response.status(status), personPage(refused(view, fault, request), one, known));
    if (!isFresh(request, seat)) {
      refuse('stale', 403);
      return null;
    }
    return {
      seat,
      one,
      refuse,
      /** A change that leaves everything as it was had no room, unless it may. */
      change: async (
        did: Parameters<typeof record>[1],
        changed: (duty: Duty) => Duty,
        { mayStay = false } = {},
      ): Promise<void> => {
        let hadRoom = true;
        await ledger.changeDuty(one.id, (before) => {
          const duty = before ?? newDuty(rota.zone);
          const after = changed(duty);
          hadRoom = mayStay || after !== duty;
          return after;
        });
        if (!hadRoom) return refuse('too-many', 409);
        await record(seat.id, did, one.id);
        response.redirect(303, `${PAGE}/people/${one.id}`);
      },
    };
  }

  function showRota(response: Response, status: number, view: RotaView): void {
    send(response.status(status), rotaPage(view, known, needsFactor));
  }

  function readClinician(
    request: Request,
    { clinicians, languages }: RotaView,
  ): { name: string; number: string; language: string; zone: string } | RotaFault {
    const name = fieldOf(request, 'name').trim();
    const number = bareNumber(fieldOf(request, 'number'));
    const [language, zone] = [fieldOf(request, 'language'), fieldOf(request, 'zone')];
    if (name === '' || name.length > LONGEST_NAME) return 'no-name';
    if (!isNumber(number)) return 'no-number';
    if (clinicians.some((one) => one.number === number)) return 'taken';
    if (!languages.includes(language)) return 'no-language';
    return isZone(zone) ? { name, number, language, zone } : 'no-zone';
  }
}

const isFresh = (request: Request, { sitting }: Seat): boolean =>
  sameToken(fieldOf(request, 'token'), sitting.formToken);

function refused(view: RotaView, fault: RotaFault, request: Request): RotaView {
  const names = Object.keys(fieldsOf(request)).filter((name) => !NOT_GIVEN_BACK.includes(name));
  return { ...view, fault, typed: Object.fromEntries(names.map((name) => [name, fieldOf(request, name)])) };
}

function send(response: Response, page: string): void {
  response.type('html').send(page);
}
