// The gateway's two posts: a text that came in, and a report on one that went out.
import type { IncomingMessage, ServerResponse } from 'node:http';
import { readInbound } from '../channels/sms/read-inbound.ts';
import { readReport } from '../channels/sms/read-report.ts';
import { writeTwiml } from '../channels/sms/twiml.ts';
import { type Form, isFromGateway } from '../channels/sms/verify.ts';
import { andMore, recording, sparingly } from '../duty/deeds.ts';
import { describeFault, nameFault } from './describe-fault.ts';
import type { ServerParts } from './parts.ts';
import { readPost } from './read-post.ts';

/** Anybody can send a post that is not signed: one a minute is written down, the others are counted. */
const REFUSAL_EVERY_MS = 60_000;
const TOO_LONG = 'That was too long.\n';

/** True where the request is one of the gateway's posts, and taken care of. */
export type TakePost = (request: IncomingMessage, response: ServerResponse) => boolean;

/**
 * Asked before everything that only pages need: these are the busiest requests, and only the gateway sends them. A path
 * in another spelling is none of theirs.
 */
export function gatewayPosts(parts: ServerParts): TakePost {
  const answer = answering(parts);
  return (request, response) => {
    const take = request.method === 'POST' ? TAKES.get((request.url ?? '').split('?', 1)[0]!) : undefined;
    if (take) answer(take, request, response);
    return take !== undefined;
  };
}

function answering(
  parts: ServerParts,
): (take: Take, request: IncomingMessage, response: ServerResponse) => void {
  const { publicUrl, twilio } = parts.settings;
  if (!twilio || publicUrl === null)
    return (_take, _request, response) => end(response, 404, 'SMS is not set up.\n');
  const account = { authToken: twilio.authToken, publicUrl };
  const statusUrl = `${publicUrl.replace(/\/+$/, '')}/sms/status`;
  const refuse = refusing(parts);
  return (take, request, response) => {
    const answer = async (form: Form | null) => {
      if (!form) return end(response, 413, TOO_LONG);
      const path = request.url ?? '';
      const signature = request.headers['x-twilio-signature'];
      const isSigned = typeof signature === 'string' && isFromGateway(account, { signature, path, form });
      return isSigned ? take({ parts, statusUrl, path, form, response }) : refuse(response);
    };
    readPost(request, (form) => {
      answer(form).catch((fault: unknown) => {
        parts.log.error({ fault: describeFault(fault) }, 'a post of the gateway failed');
        if (!response.headersSent) end(response, 503);
      });
    });
  };
}

interface Post {
  parts: ServerParts;
  /** Where the gateway is to report what became of a text. */
  statusUrl: string;
  /** With its query. */
  path: string;
  form: Form;
  response: ServerResponse;
}

type Take = (post: Post) => Promise<void>;

const TAKES: ReadonlyMap<string, Take> = new Map([
  ['/sms/inbound', inbound],
  ['/sms/status', status],
]);

function refusing(parts: ServerParts): (response: ServerResponse) => void {
  const record = recording(parts);
  const isWrittenDown = sparingly(1, REFUSAL_EVERY_MS);
  return (response) => {
    parts.refusedPost();
    const leftOut = isWrittenDown(parts.realNow());
    // Refused all the same where it cannot be written down.
    if (leftOut !== null) {
      // With a wrong token or address this is every text there is: whoever looks for warnings must find it.
      parts.log.warn(
        { leftOut },
        'a post was refused: not signed by the gateway for this token and PUBLIC_URL',
      );
      record('gateway', 'refused a post of the gateway', andMore(leftOut)).catch(() =>
        parts.log.error({}, 'a refusal was not written down'),
      );
    }
    end(response, 403);
  };
}

/** Anything but a stored text is answered with 503, so that the gateway asks again. */
async function inbound({ parts, statusUrl, form, response }: Post): Promise<void> {
  const text = readInbound(form);
  if (!text) return end(response, 400);
  const taken = await stored(parts, parts.receive(text));
  if (!taken) return end(response, 503);
  const body = writeTwiml(taken.texts, statusUrl);
  response
    .writeHead(200, { 'Content-Type': 'text/xml; charset=utf-8', 'Content-Length': Buffer.byteLength(body) })
    .end(body);
}

async function status({ parts, path, form, response }: Post): Promise<void> {
  const report = readReport(form, onlyLine(path));
  if (!report) return end(response, 204);
  const { by, status: said, carrierId, errorCode } = report;
  const kept = await stored(
    parts,
    parts.reported(by, said, carrierId, errorCode).then(() => true),
  );
  return end(response, kept ? 204 : 503);
}

/** The line that the address of a report names; null where it names none, or several. */
function onlyLine(path: string): string | null {
  const lines = new URLSearchParams(path.split('?')[1]).getAll('line');
  return lines.length === 1 ? lines[0]! : null;
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

/** Empty, or as plain text: the gateway would send the words of any other body on as a message. */
function end(response: ServerResponse, code: number, words = ''): void {
  // What is not read to its end must not be taken for the next request.
  if (code === 413) response.setHeader('Connection', 'close');
  response.writeHead(code, code === 204 ? {} : { 'Content-Type': 'text/plain' }).end(words);
}
