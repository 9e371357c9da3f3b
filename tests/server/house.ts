// A server on a free port with a small memory behind it: enough to test HTTP, and nothing else.
import { createHmac, randomUUID } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Words } from '../../src/channels/words.ts';
import type { KeptText } from '../../src/duty/kept.ts';
import type { Deed } from '../../src/ledger/chain.ts';
import { figuresOf } from '../../src/record/figures.ts';
import { buildApp } from '../../src/server/app.ts';
import type { ServerParts } from '../../src/server/parts.ts';
import { hearChanges } from '../../src/mailroom/changes.ts';
import { openCatalogues } from '../../src/wording/catalogue.ts';

const AUTH_TOKEN = '12345';
export const PUBLIC_URL = 'https://palmward.example.org';

/** The catalogues that pages read, and no others: each is opened where it is there. */
const WORDS_OF_PAGES = ['pages', 'casework', 'rota', 'figures', 'protocol'];

/** The pages' own words as they are, in a language each, plus a right-to-left one made of the English. */
export function pageWords(): Words {
  const folder = (language: string) => new URL(`../../locales/${language}/`, import.meta.url);
  const read = (language: string) =>
    WORDS_OF_PAGES.filter((name) => existsSync(new URL(`${name}.yaml`, folder(language)))).map((name) => ({
      name,
      text: readFileSync(new URL(`${name}.yaml`, folder(language)), 'utf8'),
    }));
  const review = (language: string, name: string, direction = 'ltr') => ({
    path: `locales/${language}/review.yaml`,
    text: `language: ${language}\nname: ${name}\ndirection: ${direction}\nreviewed: null\n`,
  });
  const opened = openCatalogues([
    review('en', 'English'),
    review('es', 'Español'),
    review('he', 'עברית', 'rtl'),
    ...read('en').map(({ name, text }) => ({ path: `locales/en/${name}.yaml`, text })),
    ...read('es').map(({ name, text }) => ({ path: `locales/es/${name}.yaml`, text })),
    ...read('en').map(({ name, text }) => ({
      path: `locales/he/${name}.yaml`,
      text: text.replaceAll(/^( *)([\w-]+)_other: (.*)$/gm, '$1$2_other: $3\n$1$2_two: $3'),
    })),
  ]);
  if (!opened.ok) throw new Error(JSON.stringify(opened.faults));
  return opened.value;
}

export interface House {
  url: string;
  received: Parameters<ServerParts['receive']>[0][];
  reports: Parameters<ServerParts['reported']>[];
  logged: unknown[];
  /** Posts that were counted as not signed. */
  refused: number;
  deeds: Deed[];
  texts: KeptText[];
  /** What the memory answers to a text. */
  answer: (text: string) => string[];
  storing: boolean;
  now: number;
  languages: Map<string, string>;
  say: (address: string, text: string, from?: KeptText['from']) => void;
  close: () => Promise<void>;
}

export async function openHouse(
  {
    ledger,
    ...change
  }: Partial<Omit<ServerParts, 'ledger'>> & { ledger?: Partial<ServerParts['ledger']> } = {},
  settings: Partial<ServerParts['settings']> = {},
): Promise<House> {
  const given = new Map<string, { line: number; text: string }[]>();
  const keep = (address: string, direction: 'in' | 'out', text: string, from: KeptText['from']): KeptText => {
    const kept: KeptText = {
      line: house.texts.length + 1,
      at: house.now,
      address,
      direction,
      code: null,
      text,
      key: 'question',
      from,
      state: direction === 'in' ? 'received' : 'kept',
    };
    house.texts.push(kept);
    return kept;
  };
  const house: House = {
    url: '',
    received: [],
    reports: [],
    logged: [],
    refused: 0,
    deeds: [],
    texts: [],
    answer: (text) => [`You said ${text}`],
    storing: true,
    now: Date.UTC(2026, 0, 5, 12),
    languages: new Map(),
    say: (address, text, from = 'palmward') => void keep(address, 'out', text, from),
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        // A browser keeps a connection at hand that it has asked nothing on: it would be waited for.
        server.closeAllConnections();
      }),
  };
  const parts: ServerParts = {
    settings: {
      publicUrl: PUBLIC_URL,
      twilio: { accountSid: `AC${'0'.repeat(32)}`, authToken: AUTH_TOKEN },
      practicePhone: true,
      pricePerPart: 0.01,
      metricsPublic: false,
      trustProxy: 'loopback',
      needsSecondFactor: false,
      ...settings,
    },
    async receive(message) {
      house.received.push(message);
      if (!house.storing) throw new Error('disk full while keeping +12025550101');
      const before = given.get(message.id);
      if (before) return { repeat: true, texts: before };
      keep(message.address, 'in', message.text, 'helper');
      const texts = house.answer(message.text).map((text) => {
        const { line } = keep(message.address, 'out', text, 'palmward');
        return { line, text };
      });
      given.set(message.id, texts);
      return { repeat: false, texts };
    },
    async reported(...report) {
      if (!house.storing) throw new Error('disk full');
      house.reports.push(report);
    },
    ledger: {
      thread: async (address, after) =>
        house.texts.filter((kept) => kept.address === address && kept.line > after),
      listed: async () => ({ cases: [], needs: { call: 0, late: 0, soon: 0, quiet: 0 } }),
      case: async () => null,
      conversation: async () => [],
      events: async () => [],
      enrol: async (one) => ({ ...one, place: 1 }),
      retire: async () => false,
      changeDuty: async () => false,
      reorder: async () => undefined,
      deedsAbout: async () => [],
      clinicians: async () => [],
      passphraseHash: async () => null,
      renewHash: async () => undefined,
      secondFactor: async () => null,
      takeStep: async () => false,
      keepDeed: async (deed) => {
        if (!house.storing) throw new Error('disk full');
        house.deeds.push(deed);
        return { ...deed, seq: house.deeds.length, before: '', hash: 'h' };
      },
      ...ledger,
    },
    words: pageWords(),
    signature: { state: 'unsigned' },
    planToken: (code) => `token-of-${code}-000000000000`,
    planTexts: () => ['1/2 left wrist: hold <it> so.', '2/2 Clinic.'],
    languageOf: async (address) => house.languages.get(address) ?? null,
    list: { limitOf: () => 2, changes: hearChanges() },
    handover: { recordOf: async () => null, documentOf: () => ({}), send: async () => 'ended' },
    rota: { zone: 'UTC', passOn: async () => 0, handOn: async () => 0 },
    casework: {
      heldIn: () => [],
      act: async () => ({ done: false, refusal: 'ended', heldBy: null }),
    },
    learn: { figures: async () => ({ figures: figuresOf([], []), isBehind: false }) },
    protocol: {
      version: 'v1',
      signature: { state: 'unsigned' },
      rows: [],
      doubts: async () => [],
      tree: async () => '<svg/>',
      plans: async () => ({}),
      changes: async () => null,
    },
    chat: { realMsUntil: (at) => at - house.now, utcOffsetAt: () => 0 },
    takesSeveral: () => false,
    ready: async () => ({ ready: true, why: 'ready', details: ['Cases that are looked after now: 3'] }),
    metrics: async () => 'palmward_open_cases 0\n',
    refusedPost: () => void (house.refused += 1),
    verifyPassphrase: async () => false,
    realNow: () => house.now,
    caseNow: () => house.now,
    randomToken: () => randomUUID(),
    renewedHash: async () => null,
    markOf: (text) => `mark-of-${text.length}`,
    log: {
      info: () => undefined,
      warn: (...said: unknown[]) => void house.logged.push(said),
      error: (...said: unknown[]) => void house.logged.push(said),
    },
    ...change,
  };
  const server = await new Promise<Server>((done) => {
    const listening = createServer(buildApp(parts)).listen(0, '127.0.0.1', () => done(listening));
  });
  house.url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return house;
}

/** Signs a form as the gateway documents it: HMAC-SHA1 over the address and every field in order. */
export function signature(url: string, form: Record<string, string>, token = AUTH_TOKEN): string {
  const text = Object.keys(form)
    .toSorted()
    .reduce((all, key) => all + key + form[key], url);
  return createHmac('sha1', token).update(text).digest('base64');
}

export function post(
  url: string,
  form: Record<string, string>,
  headers: Record<string, string> = {},
): Promise<Response> {
  return fetch(url, { method: 'POST', body: new URLSearchParams(form), headers, redirect: 'manual' });
}

/** A signed post of the gateway. */
export function gatewayPost(house: House, path: string, form: Record<string, string>): Promise<Response> {
  return post(house.url + path, form, { 'x-twilio-signature': signature(PUBLIC_URL + path, form) });
}

/** The cookies of an answer, as a browser would send them back. */
export const cookiesOf = (answer: Response): string =>
  answer.headers
    .getSetCookie()
    .map((cookie) => cookie.split(';')[0])
    .join('; ');

/** The value of a hidden field in a page. */
export const hidden = (page: string, name: string): string => {
  const value = new RegExp(`name="${name}" value="([^"]*)"`).exec(page)?.[1];
  if (value === undefined) throw new Error(`no field ${name} in the page`);
  return value;
};
