// A stand-in for the SMS gateway's REST API on this machine: keeps what it is asked to send, and can be told to fail.
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';

export interface SentText {
  to: string;
  body: string;
  statusCallback: string;
}

export interface StandIn {
  url: string;
  sent: SentText[];
  /** Answers every send with this HTTP status and error code from now on; null answers as usual. */
  failWith(failure: { status: number; code: number } | null): void;
  close(): Promise<void>;
}

export async function startStandIn(): Promise<StandIn> {
  const sent: SentText[] = [];
  let failure: { status: number; code: number } | null = null;
  const answer = (method: string, form: URLSearchParams) => {
    if (method === 'GET') return { status: 200, json: { messages: [], page_size: 100 } };
    if (failure)
      return { status: failure.status, json: { ...failure, message: `refused for ${form.get('To')}` } };
    const [to, body, statusCallback] = ['To', 'Body', 'StatusCallback'].map((name) => form.get(name) ?? '');
    sent.push({ to: to ?? '', body: body ?? '', statusCallback: statusCallback ?? '' });
    return { status: 201, json: { sid: `SM${String(sent.length).padStart(32, '0')}`, status: 'queued' } };
  };
  const server = createServer((request, response) => {
    let body = '';
    request.on('data', (chunk: Buffer) => (body += chunk.toString()));
    request.on('end', () => {
      const { status, json } = answer(request.method ?? 'GET', new URLSearchParams(body));
      response.writeHead(status, { 'content-type': 'application/json' });
      response.end(JSON.stringify(json));
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    sent,
    failWith: (next) => (failure = next),
    close: () => closed(server),
  };
}

export function closed(server: Server): Promise<void> {
  server.closeAllConnections();
  return new Promise((resolve) => server.close(() => resolve()));
}
