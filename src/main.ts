// The front door: opens the protocol, the ledger and the clock, starts the loops and the server, stops cleanly.
import { createHmac, hash, randomBytes, randomUUID } from 'node:crypto';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { pino, type DestinationStream, type Logger } from 'pino';
import { shuffleBy } from './care/codes.ts';
import { openProtocol, type Protocol } from './care/protocol.ts';
import { heldTexts } from './care/held-texts.ts';
import { planTexts } from './care/plan-texts.ts';
import { limitFor } from './clinical/circulation.ts';
import { signedInWords } from './clinical/signature.ts';
import { classifyReport } from './channels/sms/error-classes.ts';
import type { Case } from './care/types.ts';
import { openGateway } from './channels/sms/gateway.ts';
import type { Ledger } from './ledger/port.ts';
import { hearChanges, type Changes } from './mailroom/changes.ts';
import { startClock, type CaseClock } from './mailroom/clock.ts';
import { calm, startDelivering } from './mailroom/deliver.ts';
import { startExpiring } from './mailroom/expire.ts';
import { startBeating } from './mailroom/heartbeat.ts';
import type { Loop } from './mailroom/loop.ts';
import { actAtDesk } from './mailroom/desk-act.ts';
import { handOn } from './mailroom/hand-on.ts';
import { startLearning, versionsOf } from './mailroom/learn.ts';
import { keepMark, MARK_EVERY_MS, type MarkParts, readMark } from './mailroom/mark.ts';
import { passingOn, startPassingOn } from './mailroom/pass-on.ts';
import { keepProtocols, type Protocols } from './mailroom/protocols.ts';
import { takePulse, type Pulse } from './mailroom/pulse.ts';
import { recall } from './mailroom/recall.ts';
import { receiving } from './mailroom/receive.ts';
import { hearingReports } from './mailroom/reported.ts';
import { offsetsOf, type World } from './mailroom/surroundings.ts';
import { startWaking } from './mailroom/wake.ts';
import { startWithdrawing, withdrawnFact } from './mailroom/withdraw.ts';
import type { SourceFile } from './model.ts';
import { describeFault } from './server/describe-fault.ts';
import { metricsText, watchedLines } from './server/metrics.ts';
import { facilityTexts } from './record/facility-texts.ts';
import { bundleOf } from './record/fhir/bundle.ts';
import { tellIn } from './record/tell.ts';
import { keepOrder } from './shifts/on-call.ts';
import { figuring } from './figuring.ts';
import { protocolRoom } from './protocol-room.ts';
import { readProtocolFiles, versionOf } from './protocol-files.ts';
import { renewedHash, verifyPassphrase } from './duty/entry/passphrase.ts';
import { type Engine, engineOf } from './open-ledger.ts';
import { buildApp } from './server/app.ts';
import type { Settings } from './settings.ts';
import { onOutcome, openTally, purseOf, watch, watchAway, watchTaking, type Tally } from './tally.ts';

/** A start that cannot go on for a reason the reader can mend: one line each. */
export class CannotStart extends Error {
  readonly lines: string[];
  constructor(lines: string[]) {
    super(lines.join('\n'));
    this.lines = lines;
  }
}

export interface House {
  settings: Settings;
  ledger: Ledger;
  world: World;
  log: Logger;
  receive: ReturnType<typeof receiving>;
  /** Makes the addresses of plans impossible to guess; as long as the data folder lives. */
  planSecret: string;
  pulse: Pulse;
  tally: Tally;
  /** Milliseconds since 1970 in real time. */
  realNow: () => number;
  /** Looks at timers and texts at once. */
  stir: () => void;
  /** What pages that keep themselves up to date listen to. */
  changes: Changes;
  /** Starts what runs by itself; `serving`: the heartbeat too. */
  startLoops(serving?: boolean): void;
  stopLoops(): Promise<void>;
  close(): Promise<void>;
}

export interface HouseOptions {
  /** No log. */
  quiet?: boolean;
  /** Where the log goes instead of the standard output. */
  logTo?: DestinationStream;
  /** Another clock for the cases. */
  clock?: CaseClock;
  /** Another real time, for leases, delivery and spending. */
  realNow?: () => number;
  /** Another protocol than the one on disk. */
  files?: SourceFile[];
}

const GATEWAY_TIMEOUT_MS = 10_000;
/** How long requests under way may take once we are told to stop. Containers are killed after 10 s. */
const DRAIN_MS = 5000;
/** Letters of 6 bits each: 132 bits. */
const PLAN_TOKEN = 22;
/** As many letters tell the few numbers apart that sign in. */
const MARK = 10;

export function sha256(text: string): string {
  return hash('sha256', text, 'base64url');
}

/** The protocol, from disk unless it is given; throws with every fault, by file and line. */
export function loadProtocol(files = readProtocolFiles()): { protocol: Protocol; files: SourceFile[] } {
  const read = openProtocol(files, versionOf(files));
  if (!read.ok)
    throw new CannotStart(read.faults.map(({ file, line, message }) => `${file}:${line}: ${message}`));
  return { protocol: read.value, files };
}

/** Opens everything that a command needs. `exclusive` for the one `serve` of a data folder. */
export async function openHouse(
  settings: Settings,
  exclusive: boolean,
  options: HouseOptions = {},
): Promise<House> {
  const log = openLog(options);
  const { protocol, files } = loadProtocol(options.files);
  refuseLanguage(settings, protocol);
  // Commands beside it go on: where a serve does not start, they are what tells whom to phone.
  if (exclusive) refuseUnreviewed(settings, protocol);
  const realNow = options.realNow ?? Date.now;
  const engine = engineOf(settings);
  const onFault = (what: string, fault: unknown) => log.error({ fault: describeFault(fault) }, what);
  const ledger = await openLedger(engine, exclusive, realNow, onFault);
  await keepPracticeApart(ledger, settings, engine);
  const marking: MarkParts = { ledger, speed: settings.timeSpeed, isShared: engine.isShared, realNow };
  const clock = options.clock ?? (await keptClock(marking));
  await ledger.keepVersion(protocol.version, files, clock.now());
  const planSecret = await keptSecret(ledger);
  const world: World = {
    clock,
    protocols: await openProtocols(ledger, protocol),
    language: settings.language,
    sms: settings.twilio !== null,
    planLink: settings.publicUrl
      ? (code) => `${settings.publicUrl}/p/${code}-${planToken(planSecret, code)}`
      : null,
    utcOffsetAt: offsetsOf(settings.timeZone),
    ...(await keptCodes(ledger)),
    orderAt: keepOrder(),
  };
  const tally = await openTally({ settings, ledger, utcOffsetAt: world.utcOffsetAt, realNow, log });
  const house = assemble(settings, ledger, world, log, exclusive ? marking : null, realNow, tally);
  return { ...house, planSecret };
}

/**
 * The house for a command beside a `serve`. Where there is no ledger yet, none is made: in the wrong folder, or without its
 * settings, a command would begin another one and say that all is well.
 */
export async function openBeside(settings: Settings): Promise<House> {
  const engine = engineOf(settings);
  if (await orCannotStart(() => engine.hasBegun())) return openHouse(settings, false, { quiet: true });
  const { place, setting } = engine;
  throw new CannotStart([
    `No ledger at ${place} yet: start serve there first, or set ${setting} to where the ledger is.`,
  ]);
}

function planToken(secret: string, code: string): string {
  return createHmac('sha256', secret).update(code).digest('base64url').slice(0, PLAN_TOKEN);
}

function openLog({ quiet, logTo }: HouseOptions): Logger {
  const how = { level: quiet ? 'silent' : 'info', base: null };
  return logTo ? pino(how, logTo) : pino(how);
}

async function keptSecret(ledger: Ledger): Promise<string> {
  const before = await ledger.fact('plan.secret');
  return before ?? ledger.keepFirstFact('plan.secret', randomBytes(32).toString('base64url'));
}

// A ledger that gave out codes in the source's order goes on so: in another one a code would come twice.
async function keptCodes(ledger: Ledger): Promise<Pick<World, 'codes'>> {
  const before = await ledger.fact('codes.secret');
  if (before === null && (await ledger.latest()) > 0) return {};
  const secret =
    before ?? (await ledger.keepFirstFact('codes.secret', randomBytes(32).toString('base64url')));
  return {
    codes: shuffleBy((place) => createHmac('sha256', secret).update(String(place)).digest('base64url')),
  };
}

async function keptClock(marking: MarkParts): Promise<CaseClock> {
  const { speed } = marking;
  const highWater = await readMark(marking);
  return startClock({ wall: Date.now, monotonic: () => performance.now(), speed, highWater });
}

function openLedger(
  engine: Engine,
  exclusive: boolean,
  realNow: () => number,
  onFault: (what: string, fault: unknown) => void,
): Promise<Ledger> {
  return orCannotStart(() => engine.open(exclusive, { hash: sha256, realNow, onFault }));
}

/** What goes wrong with a ledger or its key is told in one line, and not as a fault of the program. */
export async function orCannotStart<T>(open: () => Promise<T>): Promise<T> {
  try {
    return await open();
  } catch (fault) {
    if (fault instanceof CannotStart) throw fault;
    throw new CannotStart([fault instanceof Error ? fault.message : String(fault)]);
  }
}

function refuseLanguage(settings: Settings, { words }: Protocol): void {
  if (!words.languages.includes(settings.language))
    throw new CannotStart([
      `LANGUAGE_DEFAULT is ${settings.language}, but locales/ has only ${words.languages.join(', ')}`,
    ]);
}

function refuseUnreviewed(settings: Settings, { words, version, signature }: Protocol): void {
  if (settings.serveUnreviewed) return;
  const unread = words.languages.filter((language) => words.review(language).reviewed === null);
  const missing = [
    ...(unread.length > 0
      ? [`No clinician has reviewed: ${unread.join(', ')}. Have locales/<language>/review.yaml signed.`]
      : []),
    ...(signature.state === 'signed'
      ? []
      : [`Protocol ${version} is ${signedInWords(signature)}. Have flows/signature.yaml written.`]),
  ];
  if (missing.length > 0)
    throw new CannotStart([...missing, 'Or set SERVE_UNREVIEWED=yes: then the first text says so.']);
}

// A data folder is practice or real for ever: invented cases never ring a real clinician, nor the other way round.
async function keepPracticeApart(ledger: Ledger, settings: Settings, engine: Engine): Promise<void> {
  const kind = settings.practice ? 'practice' : 'real';
  const before = (await ledger.fact('folder.kind')) ?? (await ledger.keepFirstFact('folder.kind', kind));
  if (before === kind) return;
  await ledger.close();
  throw new CannotStart([
    `${engine.place} was made for ${before} use and stays so; give another ${engine.setting} for ${kind} use.`,
  ]);
}

async function openProtocols(ledger: Ledger, current: Protocol): Promise<Protocols> {
  const kept = keepProtocols(current, await olderProtocols(ledger, current.version));
  kept.withdrawn = await ledger.fact(withdrawnFact(current.version));
  return kept;
}

async function olderProtocols(ledger: Ledger, current: string): Promise<Protocol[]> {
  const versions = (await ledger.versionsInUse()).filter((version) => version !== current);
  const opened = await Promise.all(
    versions.map(async (version) => {
      const files = await ledger.version(version);
      const read = files ? openProtocol(files, version) : null;
      return read?.ok ? [read.value] : [];
    }),
  );
  return opened.flat();
}

function assemble(
  settings: Settings,
  ledger: Ledger,
  world: World,
  log: Logger,
  marking: MarkParts | null,
  realNow: () => number,
  tally: Tally,
): Omit<House, 'planSecret'> {
  const loops: Loop[] = [];
  // Only what somebody waits for looks at once: a look at everything for each text would cost more than the text.
  const hurried: Loop[] = [];
  const changes = hearChanges();
  const stir = () => {
    hurried.forEach((loop) => loop.stir());
    changes.tell();
  };
  const onFault = (fault: unknown) => log.error({ fault: describeFault(fault) }, 'a loop failed and goes on');
  let again: NodeJS.Timeout | undefined;
  const stopLoops = async () => {
    clearInterval(again);
    changes.end();
    await Promise.all([...hurried, ...loops].map((loop) => loop.stop()));
  };
  const mark = async () => {
    if (!marking) return;
    await keepMark(marking, world.clock);
    await tally.spending.keep(ledger);
  };
  const pulse = takePulse(ledger, () => performance.now());
  return {
    settings,
    ledger,
    world,
    log,
    pulse,
    tally,
    realNow,
    stir,
    changes,
    receive: watchTaking(receiving(ledger, world, stir, purseOf(tally)), { tally, pulse }),
    startLoops: (serving = false) => {
      hurried.push(startWaking(ledger, world, stir, onFault, pulse.beat));
      const onWithdrawn = () =>
        log.error({}, 'the protocol in force is withdrawn: no case gets a position by it any more');
      loops.push(startWithdrawing({ ledger, world, stirred: stir, onWithdrawn }, onFault));
      loops.push(startPassingOn(ledger, world, stir, onFault));
      // Before anything expires: a text that is deleted cannot be counted.
      loops.push(startLearning(ledger, versionsOf(ledger, world), onFault));
      loops.push(startExpiring(ledger, world, settings.retentionDays, onFault));
      const gateway = gatewayOf(settings);
      const post = { ledger, world, realNow, weather: calm(), onOutcome: onOutcome(tally, log) };
      if (gateway) hurried.push(startDelivering({ ...post, gateway }, stir, onFault));
      const { heartbeatUrl: url } = settings;
      const onMissed = (why: string) => log.warn({ why }, 'no heartbeat was sent');
      if (serving && url !== null) loops.push(startBeating({ url, ails: pulse.ails, onMissed }));
      ledger.onStir?.(stir);
      void mark().catch(onFault);
      again = setInterval(() => void mark().catch(onFault), MARK_EVERY_MS);
    },
    stopLoops,
    close: async () => {
      await stopLoops();
      // A database that cannot be reached must not keep the process from ending.
      await mark().catch(onFault);
      await ledger.close();
    },
  };
}

export function gatewayOf({ twilio, publicUrl }: Settings) {
  if (!twilio || !publicUrl) return null;
  const { accountSid, authToken, sender, apiUrl } = twilio;
  return openGateway({
    accountSid,
    authToken,
    sender,
    apiUrl,
    statusUrl: `${publicUrl}/sms/status`,
    timeoutMs: GATEWAY_TIMEOUT_MS,
  });
}

/** Serves until told to stop. Resolves once the port is open. */
export async function serve(
  settings: Settings,
): Promise<{ house: House; address: string; stop: () => Promise<void> }> {
  const house = await openHouse(settings, true);
  const server = createServer(appOf(house));
  try {
    await listen(server, settings);
  } catch (fault) {
    await house.close();
    throw fault;
  }
  house.startLoops(true);
  const { port } = server.address() as AddressInfo;
  const host = settings.host === '0.0.0.0' || settings.host === '::' ? 'localhost' : settings.host;
  const stop = async () => {
    // Requests under way are answered; a client that never finishes its own must not keep us.
    const late = setTimeout(() => server.closeAllConnections(), DRAIN_MS);
    const idle = setInterval(() => server.closeIdleConnections(), 50);
    await Promise.all([new Promise((resolve) => server.close(resolve)), house.stopLoops()]);
    clearTimeout(late);
    clearInterval(idle);
    await house.close();
  };
  return { house, address: `http://${host}:${port}`, stop };
}

function listen(server: Server, { port, host }: Settings): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (fault: NodeJS.ErrnoException) =>
      reject(
        fault.code === 'EADDRINUSE'
          ? new CannotStart([`Port ${port} is in use: set PORT to another one.`])
          : fault,
      ),
    );
    server.listen(port, host, resolve);
  });
}

/** The web application over an open house. */
export function appOf(house: House) {
  const { settings, ledger, world, log, receive, planSecret } = house;
  const { current } = world.protocols;
  return buildApp({
    settings: {
      publicUrl: settings.publicUrl,
      twilio: settings.twilio,
      practicePhone: settings.practice,
      pricePerPart: 0.01,
      metricsPublic: settings.metricsPublic,
      trustProxy: settings.trustProxy,
      needsSecondFactor: !settings.practice,
    },
    receive,
    reported: hearingReports({
      ledger,
      world,
      realNow: house.realNow,
      judge: classifyReport,
      onFailed: (line, errorCode, why) => {
        house.tally.failed += 1;
        log[why === 'bug' ? 'error' : 'warn']({ line, errorCode, why }, 'a text was not delivered');
      },
      stirred: house.stir,
    }),
    ledger,
    words: current.words,
    signature: current.signature,
    // A page in the wrong language is better than none while the ledger cannot be reached.
    languageOf: async (address) => (await ledger.contact(address).catch(() => null))?.language ?? null,
    planToken: (code) => planToken(planSecret, code),
    planTexts: (of) => {
      const { words } = world.protocols.of(of.version);
      return planTexts(of, (key, params) => words.say(of.language, key, params));
    },
    list: {
      changes: house.changes,
      limitOf: (of) => {
        const { age, sex } = of.findings ?? of.asking.context.findings;
        return limitFor({ age, sex }, world.protocols.of(of.version).rules.circulation);
      },
    },
    handover: {
      recordOf: (code) => recall(ledger, world, code),
      documentOf: (recorded, language) => bundleOf(tellIn(recorded, language), randomUUID),
      send: async (code, number, language) => {
        const recorded = await recall(ledger, world, code);
        if (!recorded) return 'ended';
        const textsOf = (of: Case) => facilityTexts(tellIn({ ...recorded, case: of }, language));
        return handOn(ledger, world, { code, number, textsOf });
      },
    },
    rota: { zone: settings.timeZone, ...passingOn(ledger, world, house.stir) },
    casework: {
      heldIn: (of) => heldTexts(of, world.protocols.of(of.version)),
      act: async (wanted) => {
        const done = await actAtDesk(ledger, world, wanted);
        house.stir();
        return done;
      },
    },
    learn: { figures: figuring(house, versionsOf(ledger, world)) },
    protocol: protocolRoom(ledger, current),
    chat: { realMsUntil: (at) => world.clock.realMsUntil(at), utcOffsetAt: world.utcOffsetAt },
    takesSeveral: (key) => {
      const question =
        current.flow.questions.get(key.slice('ask.'.length)) ??
        current.flow.later.get(key.slice('ask.'.length));
      return question?.choose === 'all' || question?.choose === 'parts';
    },
    ready: async () => {
      const ails = await house.pulse.ails();
      const watched = ails === null ? await watch(house).catch(() => null) : null;
      const why = ails ?? (watched ? 'ready' : 'the ledger cannot be reached');
      return { ready: watched !== null, why, details: watched ? watchedLines(watched) : [] };
    },
    metrics: async () => metricsText(await watchAway(house), current.version),
    refusedPost: () => void (house.tally.refused += 1),
    verifyPassphrase,
    renewedHash,
    markOf: (text) => planToken(planSecret, `mark of ${text}`).slice(0, MARK),
    realNow: house.realNow,
    caseNow: () => world.clock.now(),
    randomToken: () => randomBytes(18).toString('base64url'),
    log,
  });
}
