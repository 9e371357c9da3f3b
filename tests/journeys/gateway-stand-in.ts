// A stand-in for the SMS gateway's REST API on this machine: keeps what it is asked to send, lists it, and can be told to fail.
import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';

export interface SentText {
  to: string;
  body: string;
  statusCallback: string;
}

/**
 * `cut-before`: the connection closes and nothing was sent. `cut-after`: it was sent, and the connection closes before the
 * answer. `mute`: it was sent, and no answer ever comes.
 */
export type Trouble = { status: number; code: number } | 'cut-before' | 'cut-after' | 'mute';

export interface StandIn {
  url: string;
  sent: SentText[];
  /** How often it was asked to send. */
  asked(): number;
  /** Answers every send, or every one to a number, so from now on; null answers as usual. */
  failWith(trouble: Trouble | null, to?: string): void;
  /** Lists a text that it was given in an answer to its own post. */
  took(to: string, body: string): void;
  /** Whether the list of sent texts can be read, and what became of the texts in it. */
  listing: boolean;
  listedAs: string;
  /** Runs while a send waits for its answer: time that goes by, another process. */
  meanwhile: (body: string) => Promise<void>;
  close(): Promise<void>;
}

/** `now`: when its texts are made, in real time. */
export async function startStandIn(now: () => number = Date.now): Promise<StandIn> {
  const made: { to: string; body: string; sid: string; at: number }[] = [];
  let only: string | undefined;
  let current: Trouble | null = null;
  let asked = 0;
  const keep = (form: URLSearchParams) => {
    const [to, body, statusCallback] = ['To', 'Body', 'StatusCallback'].map((name) => form.get(name) ?? '');
    standIn.sent.push({ to: to ?? '', body: body ?? '', statusCallback: statusCallback ?? '' });
    made.push({ to: to ?? '', body: body ?? '', sid: sidOf(standIn.sent.length), at: now() });
  };
  const listed = (to: string | null) =>
    made
      .map(({ to, body, sid, at }) => ({
        to,
        body,
        sid,
        status: standIn.listedAs,
        date_created: new Date(at).toUTCString().replace('GMT', '+0000'),
      }))
      .filter((one) => one.to === to)
      .toReversed();
  const list = (response: ServerResponse, url: URL) =>
    standIn.listing
      ? answer(response, 200, { messages: listed(url.searchParams.get('To')), page_size: 100 })
      : answer(response, 503, { status: 503, message: 'down' });
  const send = async (response: ServerResponse, form: URLSearchParams) => {
    asked += 1;
    await standIn.meanwhile(form.get('Body') ?? '');
    const trouble = only === undefined || form.get('To') === only ? current : null;
    if (trouble === 'cut-before') return response.socket?.destroy();
    if (trouble !== null && typeof trouble === 'object')
      return answer(response, trouble.status, {
        ...trouble,
        message: `refused for ${form.get('To')}`,
      });
    keep(form);
    if (trouble === 'cut-after') return response.socket?.destroy();
    return trouble === 'mute'
      ? undefined
      : answer(response, 201, { sid: sidOf(standIn.sent.length), status: 'queued' });
  };
  const server = createServer((request, response) => {
    let body = '';
    request.on('data', (chunk: Buffer) => (body += chunk.toString()));
    request.on('end', () => {
      if (request.method === 'GET') list(response, new URL(request.url ?? '/', 'http://here'));
      else void send(response, new URLSearchParams(body));
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const standIn: StandIn = {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    sent: [],
    asked: () => asked,
    failWith: (next, to) => {
      current = next;
      only = to;
    },
    took: (to, body) => void made.push({ to, body, sid: `SM-answer-${made.length}`, at: now() }),
    listing: true,
    listedAs: 'sent',
    meanwhile: async () => undefined,
    close: () => closed(server),
  };
  return standIn;
}

function sidOf(count: number): string {
  return `SM${String(count).padStart(32, '0')}`;
}

function answer(response: ServerResponse, status: number, json: object): void {
  response.writeHead(status, { 'content-type': 'application/json' });
  response.end(JSON.stringify(json));
}

export function closed(server: Server): Promise<void> {
  server.closeAllConnections();
  return new Promise((resolve) => server.close(() => resolve()));
}
