// Signed posts as the gateway sends them: whole conversations, each from its own number, made before any clock runs.
import { createHash } from 'node:crypto';
import webhooks from 'twilio/lib/webhooks/webhooks.js';
import { readSettings, type Settings } from '../../src/settings.ts';

export const TOKEN = 'not-a-real-token';
export const PUBLIC_URL = 'https://palmward.test';
export const PATH = '/sms/inbound';
const ACCOUNT = `AC${'0'.repeat(32)}`;
const OURS = '+12025550100';

export interface Post {
  method: 'POST';
  path: string;
  headers: Record<string, string>;
  body: string;
}

/** The posts of each connection in order: `talks` times the texts, one after the other. `series` sets numbers apart. */
export function postsFor(texts: string[], connections: number, talks: number, series: string): Post[][] {
  return Array.from({ length: connections }, (_, connection) =>
    Array.from({ length: talks }, (_talk, nth) => talkOf(texts, connection * talks + nth, series)).flat(),
  );
}

function talkOf(texts: string[], caller: number, series: string): Post[] {
  const from = `+1${series}${String(caller).padStart(7, '0')}`;
  return texts.map((body, turn) => postOf(from, body, turn));
}

/** One text from a number; `turn` makes it another message than those before. */
export const postOf = (from: string, body: string, turn: number): Post => signed(formOf(from, body, turn));

// The nineteen fields of an inbound text, as the gateway's documentation lists them (from memory).
function formOf(from: string, body: string, turn: number): Record<string, string> {
  const sid = `SM${createHash('md5').update(`${from} ${turn}`).digest('hex')}`;
  return {
    ToCountry: 'US',
    ToState: 'DC',
    SmsMessageSid: sid,
    NumMedia: '0',
    ToCity: 'WASHINGTON',
    FromZip: '20001',
    SmsSid: sid,
    FromState: 'DC',
    SmsStatus: 'received',
    FromCity: 'WASHINGTON',
    Body: body,
    FromCountry: 'US',
    To: OURS,
    ToZip: '20001',
    NumSegments: '1',
    MessageSid: sid,
    AccountSid: ACCOUNT,
    From: from,
    ApiVersion: '2010-04-01',
  };
}

function signed(form: Record<string, string>): Post {
  return {
    method: 'POST',
    path: PATH,
    headers: {
      'Content-Type': 'application/x-www-form-urlencoded; charset=UTF-8',
      'User-Agent': 'TwilioProxy/1.1',
      Accept: '*/*',
      'X-Twilio-Signature': webhooks.getExpectedTwilioSignature(TOKEN, `${PUBLIC_URL}${PATH}`, form),
    },
    body: new URLSearchParams(form).toString(),
  };
}

/** Settings of a house that takes these posts; it has no gateway to send to, and nobody on its rota. */
export function settingsOf(dataDir: string, databaseUrl?: string): Settings {
  const read = readSettings({
    DATA_DIR: dataDir,
    ...(databaseUrl === undefined ? {} : { DATABASE_URL: databaseUrl }),
    PORT: '0',
    PUBLIC_URL,
    TWILIO_ACCOUNT_SID: ACCOUNT,
    TWILIO_AUTH_TOKEN: TOKEN,
    TWILIO_FROM: OURS,
    TWILIO_API_URL: 'http://127.0.0.1:9',
    TIME_ZONE: 'UTC',
    SERVE_UNREVIEWED: 'yes',
  });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  return read.settings;
}
