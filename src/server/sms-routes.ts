// The gateway's two posts: a text that came in, and a report on one that went out.
import type { Express, Request, Response } from 'express';
import { readInbound } from '../channels/sms/read-inbound.ts';
import { readReport } from '../channels/sms/read-report.ts';
import { writeTwiml } from '../channels/sms/twiml.ts';
import { isFromGateway } from '../channels/sms/verify.ts';
import { andMore, recording, sparingly } from '../duty/deeds.ts';
import { fieldsOf, queryOf, readForm } from './forms.ts';
import { nameFault } from './describe-fault.ts';
import { readGatewayForm } from './gateway-form.ts';
import type { ServerParts } from './parts.ts';

/** Anybody can send a post that is not signed: one a minute is written down, the others are counted. */
const REFUSAL_EVERY_MS = 60_000;

/** These routes come before everything that only pages need: they are the busiest, and only the gateway reads them. */
export function mountSms(app: Express, parts: ServerParts): void {
  const { publicUrl, twilio } = parts.settings;
  if (!twilio || publicUrl === null) {
    app.post(['/sms/inbound', '/sms/status'], (_request, response) => {
      response.status(404).type('text/plain').send('SMS is not set up.\n');
    });
    return;
  }
  const account = { authToken: twilio.authToken, publicUrl };
  const statusUrl = `${publicUrl.replace(/\/+$/, '')}/sms/status`;
  const readPost = readGatewayForm(readForm);
  const isSigned = (request: Request): boolean =>
    isFromGateway(account, {
      signature: request.get('x-twilio-signature'),
      path: request.originalUrl,
      form: fieldsOf(request),
    });
  const record = recording(parts);
  const isWrittenDown = sparingly(1, REFUSAL_EVERY_MS);
  const refuse = (response: Response): void => {
    const leftOut = isWrittenDown(parts.realNow());
    // Refused all the same where it cannot be written down.
    if (leftOut !== null)
      record('gateway', 'refused a post of the gateway', andMore(leftOut)).catch(() =>
        parts.log.error({}, 'a refusal was not written down'),
      );
    end(response, 403);
  };
  app.post('/sms/inbound', readPost, (request, response) => {
    if (!isSigned(request)) return refuse(response);
    return inbound(parts, statusUrl, request, response);
  });
  app.post('/sms/status', readPost, (request, response) => {
    if (!isSigned(request)) return refuse(response);
    return status(parts, request, response);
  });
}

/** Anything but a stored text is answered with 503, so that the gateway asks again. */
async function inbound(
  parts: ServerParts,
  statusUrl: string,
  request: Request,
  response: Response,
): Promise<void> {
  const text = readInbound(fieldsOf(request));
  if (!text) return end(response, 400);
  const taken = await stored(parts, parts.receive(text));
  if (!taken) return end(response, 503);
  response.statusCode = 200;
  response.setHeader('Content-Type', 'text/xml; charset=utf-8');
  response.end(writeTwiml(taken.texts, statusUrl));
}

async function status(parts: ServerParts, request: Request, response: Response): Promise<void> {
  const report = readReport(fieldsOf(request), queryOf(request, 'line'));
  if (!report) return end(response, 204);
  const { by, status: said, carrierId, errorCode } = report;
  const kept = await stored(
    parts,
    parts.reported(by, said, carrierId, errorCode).then(() => true),
  );
  return end(response, kept ? 204 : 503);
}

/** The outcome, or null when it could not be stored: the log says why, without numbers or texts. */
async function stored<T>(parts: ServerParts, doing: Promise<T>): Promise<T | null> {
  try {
    return await doing;
  } catch (fault) {
    parts.log.error({ fault: nameFault(fault) }, 'not stored');
    return null;
  }
}

/** An empty answer. As plain text: the gateway would send the words of any other body on as a message. */
function end(response: Response, code: number): void {
  response.writeHead(code, code === 204 ? {} : { 'Content-Type': 'text/plain' }).end();
}
