// The soak: real `serve` processes killed at random moments in the middle of many conversations, then everything counted.
import { A_KEY } from '../../ledger/builders.ts';
import { setTimeout as pause } from 'node:timers/promises';
import { openHouse, gatewayOf } from '../../../src/main.ts';
import { calm, deliverDue } from '../../../src/mailroom/deliver.ts';
import { wakeDue } from '../../../src/mailroom/wake.ts';
import { readSettings, type Settings } from '../../../src/settings.ts';
import { PUBLIC_URL, TOKEN } from '../../bench/posts.ts';
import { command, serving, type Serving } from '../serving.ts';
import { startCarrier, type Carrier } from './carrier.ts';
import { chanceOf, type Chance } from './chance.ts';
import { count, type Counted } from './count.ts';
import { CLINICIANS, gather, helperNumber } from './people.ts';

export interface SoakParts {
  seed: number;
  seconds: number;
  people: number;
  /** Where the ledger is: DATA_DIR or DATABASE_URL. */
  place: { DATA_DIR: string; DATABASE_URL?: string };
  /** `serve` processes side by side; more than one needs PostgreSQL. */
  processes: number;
}

export interface Soaked extends Counted {
  seed: number;
  seconds: number;
  kills: number;
  talked: number;
  textsIn: number;
  repeats: number;
  otherAnswers: number;
  reports: number;
  /** How long a text waited for its answer, with every time that all were dead. */
  waitMs: { p50: number; p99: number; most: number };
}

/** Ten minutes, the first wait of the watch, are six seconds; a text that waits for another try is seldom outdated yet. */
const SPEED = 100;
/**
 * The share of the time in which people begin. On SQLite a fast clock goes on from what was kept or said last, so that
 * with nothing said between two kills it would stand still.
 */
const TALKS_FOR = 0.7;
const LIVES_MS = [800, 4000] as const;
/** By then leases and what was handed over have run out, and are looked up. */
const MUCH_LATER_MS = 20 * 60_000;

export async function soak(parts: SoakParts): Promise<Soaked> {
  const { seed, seconds, people: many, processes } = parts;
  const chance = chanceOf(seed);
  const alive: (Serving | null)[] = Array.from({ length: processes }, () => null);
  const live = () => alive.flatMap((serve) => (serve ? [serve.url] : []));
  const carrier = await startCarrier({ chance, live, onText: (to, body) => people.hears(to, body) });
  const people = gather(many, chance, (from, body) => carrier.bring(from, body));
  const env = environment(parts, carrier.url);
  const kills: number[] = [];
  try {
    await (await openHouse(settingsFrom(env), true, { quiet: true })).close();
    for (const [nth, number] of CLINICIANS.entries()) {
      const { code, said } = await command(['enrol', `Nurse ${nth}`, number], env);
      if (code !== 0) throw new Error(said);
    }
    const start = async (nth: number) => void (alive[nth] = await serving(env));
    for (let nth = 0; nth < processes; nth += 1) await start(nth);
    const talking = people.begin(seconds * 1000 * TALKS_FOR);
    await killing(chance, alive, start, kills, Date.now() + seconds * 1000);
    await talking;
    await carrier.quiet();
    await people.hush();
    for (const serve of alive) await serve?.stop();
    const counted = await atRest(settingsFrom(env), carrier, kills, many);
    return summary(parts, counted, carrier, people.talked, kills);
  } finally {
    for (const serve of alive) await serve?.kill();
    await carrier.close();
  }
}

/** Each life is short; with several processes the others go on meanwhile, and now and then all of them die. */
async function killing(
  chance: Chance,
  alive: (Serving | null)[],
  start: (nth: number) => Promise<void>,
  kills: number[],
  until: number,
): Promise<void> {
  while (Date.now() < until) {
    await pause(chance.between(...LIVES_MS));
    const all = alive.map((_, nth) => nth);
    const dying = chance.is(0.2) ? all : [chance.one(all)];
    await Promise.all(
      dying.map(async (nth) => {
        const serve = alive[nth];
        alive[nth] = null;
        kills.push(Date.now());
        await serve?.kill();
        await start(nth);
      }),
    );
  }
}

/** Carries what is left, long after, when every lease has run out; then counts. */
async function atRest(settings: Settings, carrier: Carrier, kills: number[], many: number): Promise<Counted> {
  let at = Date.now();
  const realNow = () => at;
  const house = await openHouse(settings, true, { quiet: true, realNow });
  try {
    const post = { ledger: house.ledger, world: house.world, realNow, gateway: gatewayOf(settings)! };
    for (let look = 0; look < 30; look += 1) {
      while ((await wakeDue(house.ledger, house.world)) > 0);
      at += MUCH_LATER_MS;
      while ((await deliverDue({ ...post, weather: calm() }, () => undefined)) > 0);
    }
    const helpers = new Set(Array.from({ length: many }, (_, nth) => helperNumber(nth)));
    return await count(house, carrier, kills, (number) => helpers.has(number));
  } finally {
    await house.close();
  }
}

function summary(
  { seed, seconds }: SoakParts,
  counted: Counted,
  carrier: Carrier,
  talked: number,
  kills: number[],
): Soaked {
  const waits = carrier.waits.toSorted((a, b) => a - b);
  const share = (of: number) => waits[Math.min(waits.length - 1, Math.floor(waits.length * of))] ?? 0;
  return {
    seed,
    seconds,
    kills: kills.length,
    talked,
    textsIn: carrier.waits.length,
    repeats: carrier.repeats,
    otherAnswers: carrier.otherAnswers,
    reports: carrier.reports,
    waitMs: { p50: share(0.5), p99: share(0.99), most: share(1) },
    ...counted,
  };
}

function environment({ place }: SoakParts, apiUrl: string): Record<string, string> {
  return {
    PALMWARD_KEY: A_KEY.toString('hex'),
    ...place,
    PUBLIC_URL,
    TWILIO_ACCOUNT_SID: `AC${'0'.repeat(32)}`,
    TWILIO_AUTH_TOKEN: TOKEN,
    TWILIO_FROM: '+12025550100',
    TWILIO_API_URL: apiUrl,
    TIME_SPEED: String(SPEED),
    TIME_ZONE: morning(),
  };
}

/** A zone in which it is about nine now: at night no check is asked. */
function morning(): string {
  const ahead = (9 - new Date().getUTCHours() + 24) % 24;
  // The signs of these names are the other way round.
  return ahead <= 12 ? `Etc/GMT-${ahead}` : `Etc/GMT+${24 - ahead}`;
}

function settingsFrom(env: Record<string, string>): Settings {
  const read = readSettings(env);
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  return read.settings;
}
