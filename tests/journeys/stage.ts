// A whole Palmward on this machine for a conversation: the real ledger, the real web server, signed posts in, the real
// SDK out to a stand-in gateway. Only the cases' clock is moved by hand.
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import webhooks from 'twilio/lib/webhooks/webhooks.js';
import { appOf, gatewayOf, openHouse, type House } from '../../src/main.ts';
import { calm, deliverDue } from '../../src/mailroom/deliver.ts';
import { wakeDue } from '../../src/mailroom/wake.ts';
import type { SourceFile } from '../../src/model.ts';
import { readSettings, type Settings } from '../../src/settings.ts';
import { onOutcome } from '../../src/tally.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { closed, startStandIn, type StandIn } from './gateway-stand-in.ts';

const TOKEN = 'not-a-real-token';
const PUBLIC_URL = 'https://palmward.test';
/** 09:00 UTC on a Monday. */
const MORNING = Date.UTC(2026, 0, 5, 9);

export const HELPER = '+12025550101';
export const NURSE_ADA = '+12025550190';
export const NURSE_BEN = '+12025550191';

export interface Stage {
  house: House;
  /** Where its pages are. */
  address: string;
  gateway: StandIn;
  /** Posts a text as the gateway does, and gives back the texts of the answer. */
  text(from: string, body: string, extra?: Record<string, string>): Promise<string[]>;
  /** The helper's own phone. */
  helper(body: string): Promise<string[]>;
  /** Answers several questions, one text each; gives back the last answer. */
  answers(...bodies: string[]): Promise<string[]>;
  /** Lets time go by; gives back the texts sent meanwhile, to whom. */
  after(span: string): Promise<{ to: string; body: string }[]>;
  /** Texts sent since the last look, by number. */
  newTexts(to: string): Promise<string[]>;
  post(form: Record<string, string>, signature?: string | null): Promise<Response>;
  get(path: string): Promise<Response>;
  /** Sends what waits, as far as the gateway lets it. */
  carry(): Promise<void>;
  /** Time goes by while something else is under way. */
  pass(span: string): void;
  /** Lets time go by in steps of ten seconds, with every loop running. */
  live(span: string): Promise<void>;
  /** Closes the house and opens it again, with another protocol if one is given. */
  restart(files?: SourceFile[]): Promise<void>;
  now(): number;
  close(): Promise<void>;
}

/** `together`: real time goes with the cases' clock, so that leases and back-off can be lived through. Without `logTo` nothing is logged. */
export async function openStage(
  env: Record<string, string> = {},
  startAt = MORNING,
  together = false,
  logTo?: { write(line: string): void },
): Promise<Stage> {
  const folder = mkdtempSync(join(tmpdir(), 'palmward-'));
  const clock = { at: startAt };
  const realNow = together ? () => clock.at : Date.now;
  const gateway = await startStandIn(realNow);
  const settings = settingsFor(folder, gateway.url, env);
  const open = (files?: SourceFile[]) =>
    openHouse(settings, true, {
      ...(logTo ? { logTo } : { quiet: true }),
      ...(files ? { files } : {}),
      realNow,
      clock: {
        now: () => clock.at,
        realMsUntil: (at) => Math.max(0, at - clock.at),
        catchUp: () => undefined,
      },
    });
  let house = await open();
  let web = await listen(house);
  const looked = new Map<string, number>();
  let count = 0;

  const weather = calm();
  const carry = async () => {
    const post = {
      ledger: house.ledger,
      gateway: gatewayOf(settings)!,
      world: house.world,
      realNow: house.realNow,
      weather,
      onOutcome: onOutcome(house.tally, house.log),
    };
    while ((await deliverDue(post, () => undefined)) > 0);
  };
  const post: Stage['post'] = (form, signature) => {
    const signed =
      signature === undefined
        ? webhooks.getExpectedTwilioSignature(TOKEN, `${PUBLIC_URL}/sms/inbound`, form)
        : signature;
    return fetch(`${web.url}/sms/inbound`, {
      method: 'POST',
      headers: signed === null ? {} : { 'x-twilio-signature': signed },
      body: new URLSearchParams(form),
    });
  };
  const text: Stage['text'] = async (from, body, extra = {}) => {
    count += 1;
    const form = {
      MessageSid: `SM${String(count).padStart(32, '0')}`,
      From: from,
      To: '+12025550100',
      Body: body,
      NumMedia: '0',
      ...extra,
    };
    const response = await post(form);
    if (response.status !== 200) throw new Error(`HTTP ${response.status}`);
    const texts = readTwiml(await response.text());
    texts.forEach((text) => gateway.took(from, foldForSms(text)));
    await carry();
    return texts;
  };
  return {
    get house() {
      return house;
    },
    get address() {
      return web.url;
    },
    gateway,
    text,
    helper: (body) => text(HELPER, body),
    answers: async (...bodies) => {
      let last: string[] = [];
      for (const body of bodies) last = await text(HELPER, body);
      return last;
    },
    after: async (span) => {
      const until = clock.at + spanMs(span);
      const before = gateway.sent.length;
      for (
        let due = await house.ledger.nextDue();
        due !== null && due <= until;
        due = await house.ledger.nextDue()
      ) {
        clock.at = Math.max(clock.at, due);
        await wakeDue(house.ledger, house.world);
        await carry();
      }
      clock.at = until;
      return gateway.sent.slice(before).map(({ to, body }) => ({ to, body }));
    },
    newTexts: async (to) => {
      await carry();
      const fresh = gateway.sent.slice(looked.get(to) ?? 0).filter((sent) => sent.to === to);
      looked.set(to, gateway.sent.length);
      return fresh.map(({ body }) => body);
    },
    post,
    get: (path) => fetch(`${web.url}${path}`),
    carry,
    pass: (span) => void (clock.at += spanMs(span)),
    live: async (span) => {
      const until = clock.at + spanMs(span);
      while (clock.at < until) {
        clock.at = Math.min(until, clock.at + 10_000);
        await wakeDue(house.ledger, house.world);
        await carry();
      }
    },
    restart: async (files) => {
      await closed(web.server);
      await house.close();
      house = await open(files);
      web = await listen(house);
    },
    now: () => clock.at,
    close: async () => {
      await closed(web.server);
      await house.close();
      await gateway.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

function settingsFor(folder: string, apiUrl: string, env: Record<string, string>): Settings {
  const read = readSettings({
    DATA_DIR: folder,
    PUBLIC_URL,
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: TOKEN,
    TWILIO_FROM: '+12025550100',
    TWILIO_API_URL: apiUrl,
    TIME_ZONE: 'UTC',
    ...env,
  });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  return read.settings;
}

async function listen(house: House) {
  const server = createServer(appOf(house));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return { server, url: `http://127.0.0.1:${(server.address() as AddressInfo).port}` };
}

/** The texts of an answer to the gateway. */
export function readTwiml(xml: string): string[] {
  const plain = (text: string) =>
    text.replace(
      /&(#x[0-9a-f]+|#\d+|\w+);/gi,
      (whole, name: string) => ENTITIES[name] ?? fromCode(name) ?? whole,
    );
  return [...xml.matchAll(/<Message[^>]*>([\s\S]*?)<\/Message>/g)].map(([, inner = '']) =>
    plain(inner.replace(/<\/?Body>/g, '')),
  );
}
const ENTITIES: Record<string, string> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" };

function fromCode(name: string): string | null {
  if (!name.startsWith('#')) return null;
  return String.fromCodePoint(name[1] === 'x' ? parseInt(name.slice(2), 16) : Number(name.slice(1)));
}

/** `10 min`, `2 h`, `3 d`, `30 s` in milliseconds. */
export function spanMs(span: string): number {
  const [number, unit] = span.split(' ');
  return (
    Number(number) * { s: 1000, min: 60_000, h: 3_600_000, d: 86_400_000 }[unit as 's' | 'min' | 'h' | 'd']
  );
}

/** Puts somebody on the rota. */
export function enrolled(stage: Stage, name: string, number: string, language = 'en') {
  return stage.house.ledger.enrol(
    { id: `c-${name.toLowerCase().replaceAll(' ', '-')}`, name, number, language },
    'no-hash',
  );
}
