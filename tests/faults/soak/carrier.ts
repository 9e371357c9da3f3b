// A carrier that is not to be trusted: brings texts until they are taken, some twice; loses answers of its own; reports late,
// twice and out of order. What reaches phones is counted by our own line, which each callback names.
import { createServer, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { setTimeout as pause } from 'node:timers/promises';
import webhooks from 'twilio/lib/webhooks/webhooks.js';
import { closed } from '../../journeys/gateway-stand-in.ts';
import { PUBLIC_URL, TOKEN } from '../../bench/posts.ts';
import type { Chance } from './chance.ts';

/** One text on one phone. `at` in real milliseconds. */
export interface Arrival {
  line: number;
  to: string;
  body: string;
  at: number;
}

export interface Carrier {
  url: string;
  arrivals: Arrival[];
  /** Lines of which the answer to a send was lost on the way: only these may reach a phone twice. */
  unanswered: Set<number>;
  /** Texts of each number that were taken. */
  taken: Map<string, number>;
  /** Milliseconds from the first post of a text to the answer that says it is taken. */
  waits: number[];
  /** Posts that were refused, cut or asked again on purpose. */
  repeats: number;
  reports: number;
  /** Repeats that were answered otherwise than the first time. */
  otherAnswers: number;
  /** Brings a text, again until it is taken. */
  bring(from: string, body: string): Promise<void>;
  /** No more reports; resolves once none is under way. */
  quiet(): Promise<void>;
  close(): Promise<void>;
}

interface Made {
  to: string;
  body: string;
  sid: string;
  at: number;
}

export interface CarrierParts {
  chance: Chance;
  /** Where a `serve` listens just now; none while all are dead. */
  live: () => string[];
  onText: (to: string, body: string) => void;
}

/** In real milliseconds: Twilio waits longer, but so would the test. */
const AGAIN_MS = 150;
const LATEST_REPORT_MS = 3000;

export async function startCarrier({ chance, live, onText }: CarrierParts): Promise<Carrier> {
  const made: Made[] = [];
  const reporting = new Set<Promise<void>>();
  let isQuiet = false;
  let ids = 0;

  const arrive = (to: string, body: string, callback: string) => {
    const sid = sidOf((ids += 1));
    const line = Number(new URL(callback).searchParams.get('line'));
    made.push({ to, body, sid, at: Date.now() });
    carrier.arrivals.push({ line, to, body, at: Date.now() });
    report(new URL(callback), sid);
    onText(to, body);
    return sid;
  };
  const report = (callback: URL, sid: string) => {
    for (const status of ['sent', 'delivered'])
      for (let times = chance.is(0.2) ? 2 : 1; times > 0; times -= 1) {
        if (chance.is(0.05)) continue;
        const form = { MessageSid: sid, MessageStatus: status };
        const told = later(chance.between(20, LATEST_REPORT_MS), () => tell(callback, form));
        reporting.add(told);
        void told.finally(() => reporting.delete(told));
      }
  };
  const later = async (ms: number, act: () => Promise<void>) => {
    await pause(ms);
    if (!isQuiet) await act();
  };
  const tell = async (callback: URL, form: Record<string, string>) => {
    carrier.reports += 1;
    // A report that nobody hears is lost for good.
    const [url] = live();
    if (url) await posted(url, callback.pathname + callback.search, form);
  };

  const send = (response: ServerResponse, form: URLSearchParams) => {
    const [to = '', body = '', callback = ''] = ['To', 'Body', 'StatusCallback'].map(
      (name) => form.get(name) ?? '',
    );
    if (chance.is(0.01)) return answer(response, 429, { status: 429, code: 20429, message: 'slow down' });
    if (chance.is(0.01)) return answer(response, 500, { status: 500, message: 'broken' });
    if (chance.is(0.01)) return response.socket?.destroy();
    const sid = arrive(to, body, callback);
    if (!chance.is(0.02)) return answer(response, 201, { sid, status: 'queued' });
    carrier.unanswered.add(Number(new URL(callback).searchParams.get('line')));
    response.socket?.destroy();
  };
  const list = (response: ServerResponse, to: string | null, most: number) => {
    if (chance.is(0.02)) return answer(response, 503, { status: 503, message: 'down' });
    const messages = made
      .filter((one) => one.to === to)
      .slice(-most)
      .toReversed()
      .map(listed);
    answer(response, 200, { messages, page_size: most });
  };
  const server = createServer((request, response) => {
    let body = '';
    request.on('data', (chunk: Buffer) => (body += chunk.toString()));
    request.on('end', () => {
      const { searchParams: asked } = new URL(request.url ?? '/', PUBLIC_URL);
      if (request.method === 'GET') list(response, asked.get('To'), Number(asked.get('PageSize') ?? 50));
      else send(response, new URLSearchParams(body));
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));

  const bring = async (from: string, body: string) => {
    const begun = Date.now();
    const form = formOf(from, body, (ids += 1));
    for (let first: string | null = null; ; carrier.repeats += 1) {
      const urls = live();
      const said = urls.length > 0 ? await posted(chance.one(urls), '/sms/inbound', form) : null;
      if (said === null) {
        await pause(chance.between(AGAIN_MS / 2, AGAIN_MS * 2));
        continue;
      }
      if (first !== null && first !== said) carrier.otherAnswers += 1;
      // Asked again although it was answered, as where that answer was lost on the way to the carrier.
      if (first === null && chance.is(0.03)) {
        first = said;
        continue;
      }
      carrier.taken.set(from, (carrier.taken.get(from) ?? 0) + 1);
      carrier.waits.push(Date.now() - begun);
      for (const { callback, text } of readTwiml(said)) arrive(from, text, callback);
      return;
    }
  };
  const carrier: Carrier = {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    arrivals: [],
    unanswered: new Set(),
    taken: new Map(),
    waits: [],
    repeats: 0,
    reports: 0,
    otherAnswers: 0,
    bring,
    quiet: async () => {
      isQuiet = true;
      await Promise.all(reporting);
    },
    close: () => closed(server),
  };
  return carrier;
}

/** The whole answer where it was taken, null where it was not, or where nobody can tell. */
async function posted(url: string, path: string, form: Record<string, string>): Promise<string | null> {
  try {
    const response = await fetch(url + path, {
      method: 'POST',
      headers: { 'x-twilio-signature': webhooks.getExpectedTwilioSignature(TOKEN, PUBLIC_URL + path, form) },
      body: new URLSearchParams(form),
      signal: AbortSignal.timeout(15_000),
    });
    const said = await response.text();
    if (response.status === 403 || response.status === 400)
      throw new Error(`HTTP ${response.status} to ${path}`);
    return response.ok ? said : null;
  } catch (fault) {
    if (fault instanceof Error && fault.message.startsWith('HTTP')) throw fault;
    return null;
  }
}

function sidOf(id: number): string {
  return `SM${String(id).padStart(32, '0')}`;
}

function formOf(from: string, body: string, id: number): Record<string, string> {
  return { MessageSid: sidOf(id), From: from, To: '+12025550100', Body: body, NumMedia: '0' };
}

function listed({ to, body, sid, at }: Made): object {
  return { to, body, sid, status: 'sent', date_created: new Date(at).toUTCString().replace('GMT', '+0000') };
}

function answer(response: ServerResponse, status: number, json: object): void {
  response.writeHead(status, { 'content-type': 'application/json' }).end(JSON.stringify(json));
}

function readTwiml(xml: string): { callback: string; text: string }[] {
  if (!xml.endsWith('</Response>')) throw new Error('an answer that is not whole');
  return [...xml.matchAll(/<Message statusCallback="([^"]*)">([\s\S]*?)<\/Message>/g)].map(
    ([, callback = '', text = '']) => ({ callback: plain(callback), text: plain(text) }),
  );
}

const plain = (text: string) =>
  text.replace(/&(amp|lt|gt|quot|#13);/g, (whole, name: string) => SIGNS[name] ?? whole);
const SIGNS: Record<string, string> = { amp: '&', lt: '<', gt: '>', quot: '"', '#13': '\r' };
