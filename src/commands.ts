// What each command does: reads its input, calls the core or the house, prints, and says how it ended.
import { readCheck, judge } from './clinical/circulation.ts';
import { readFindings } from './clinical/findings.ts';
import { planFor } from './clinical/plan.ts';
import { signedInWords } from './clinical/signature.ts';
import { openProtocol, type Protocol } from './care/protocol.ts';
import { turn } from './care/turn.ts';
import type { Case } from './care/types.ts';
import { talk } from './channels/terminal.ts';
import { keptState } from './ledger/kept-state.ts';
import { CannotStart, loadProtocol, openBeside, openHouse, serve, sha256, type House } from './main.ts';
import { withdrawnFact } from './mailroom/withdraw.ts';
import { fileIn, masterOf } from './open-ledger.ts';
import { questionnaireOf } from './record/fhir/questionnaire.ts';
import { recording } from './duty/deeds.ts';
import { readSettings, type Settings } from './settings.ts';
import { isTrouble } from './trouble.ts';

const BAD_INPUT = 2;

export function settings(): Settings {
  const read = readSettings();
  if ('faults' in read) throw new CannotStart(read.faults);
  return read.settings;
}

function badInput(line: string): number {
  process.stderr.write(`${line}\n`);
  return BAD_INPUT;
}

function print(value: unknown): number {
  process.stdout.write(`${JSON.stringify(value, null, 2)}\n`);
  return 0;
}

async function readJson(): Promise<{ json: unknown } | { fault: string }> {
  const chunks: Buffer[] = [];
  for await (const chunk of process.stdin) chunks.push(chunk as Buffer);
  const text = Buffer.concat(chunks).toString('utf8');
  try {
    return { json: JSON.parse(text) as unknown };
  } catch {
    return {
      fault: text.trim() === '' ? 'Nothing on standard input: give JSON.' : 'Standard input is not JSON.',
    };
  }
}

export async function position(): Promise<number> {
  const { rules } = loadProtocol().protocol;
  const input = await readJson();
  if ('fault' in input) return badInput(input.fault);
  const read = readFindings(input.json, [...rules.signs]);
  return read.ok ? print(planFor(read.value, rules)) : badInput(read.reason);
}

export async function circulation(): Promise<number> {
  const { rules } = loadProtocol().protocol;
  const input = await readJson();
  if ('fault' in input) return badInput(input.fault);
  const read = readCheck(input.json);
  return read.ok ? print(judge(read.value, rules)) : badInput(read.reason);
}

/** The question tree as a FHIR Questionnaire. */
export function questionnaire(args: string[]): Promise<number> {
  const { protocol } = loadProtocol();
  const { languages } = protocol.words;
  const [flag, language = 'en', ...more] = args.length === 0 ? ['--language'] : args;
  if (flag !== '--language' || more.length > 0 || !languages.includes(language))
    return Promise.resolve(
      badInput(`questionnaire takes --language and one of ${languages.join(', ')}, or nothing`),
    );
  return Promise.resolve(print(questionnaireOf(protocol, language)));
}

/** Waits for TERM or INT, then lets what is under way finish. */
export async function serveUntilStopped(): Promise<number> {
  const wanted = settings();
  const { house, address, stop } = await serve(wanted);
  process.stdout.write(`${await greeting(house, address)}\n`);
  await new Promise<void>((resolve) => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => resolve());
  });
  await stop();
  return 0;
}

async function greeting({ settings, ledger, world }: House, address: string): Promise<string> {
  const { words, version, signature } = world.protocols.current;
  const withdrawn = await ledger.fact(withdrawnFact(version));
  const unread = words.languages.filter((language) => words.review(language).reviewed === null);
  const clinicians = await ledger.clinicians();
  const phone = settings.practice;
  // On a real server a command needs the service's user and settings: the wrapper of deploy/ has them.
  const run = settings.practice ? 'npm run -s palmward --' : 'palmward';
  return [
    'Palmward is running. It is first aid, not a doctor.',
    `  web chat        ${address}/chat`,
    phone ? `  practice phone  ${address}/phone` : '',
    `  desk            ${address}/duty`,
    `  protocol        version ${version}, ${signedInWords(signature)}`,
    withdrawn === null ? '' : `                  WITHDRAWN: ${withdrawn}`,
    `  languages       not reviewed by a clinician: ${unread.join(', ') || 'none'}`,
    `  rota            ${clinicians.length === 0 ? `nobody yet: ${run} enrol "Name" +12025550190` : `${clinicians.length} on it`}`,
    settings.timeSpeed === 1
      ? ''
      : `  time            ${settings.timeSpeed} times faster than real, for practice`,
    settings.twilio
      ? `  SMS             webhook ${settings.publicUrl}/sms/inbound`
      : '  SMS             not set up: needs TWILIO_ACCOUNT_SID, TWILIO_AUTH_TOKEN, TWILIO_FROM and PUBLIC_URL',
  ]
    .filter((line) => line !== '')
    .join('\n');
}

export async function replay(args: string[]): Promise<number> {
  const code = args[0]?.toUpperCase();
  if (!code) return badInput('replay needs the code of a case');
  const house = await openBeside(settings());
  try {
    const events = await house.ledger.events(code);
    const [first] = events;
    if (first?.event.kind !== 'opened') return badInput(`no case ${code}`);
    const { version } = first.event;
    const protocol = await protocolOf(house, version);
    if (!protocol) {
      process.stderr.write(`${code} began under version ${version}, which cannot be opened any more\n`);
      return 1;
    }
    let state: Case | null = null;
    for (const [at, { event, hash }] of events.entries()) {
      // Through JSON, as it was stored: the order of keys is part of the hash.
      state = JSON.parse(JSON.stringify(turn(state, event, protocol).case)) as Case;
      if (hash && sha256(keptState(state)) !== hash) {
        process.stderr.write(
          `${code}: event ${at + 1} of ${events.length} (${event.kind}) gives another case than it did\n`,
        );
        return 1;
      }
    }
    await recording(house)('command', 'replayed a case', code);
    process.stdout.write(`${code}: ${events.length} events give the same case again\n`);
    return print(state?.plan ?? null);
  } finally {
    await house.close();
  }
}

/** The house opens the versions of open cases only; a case that ended may need another. */
async function protocolOf({ world, ledger }: House, version: string): Promise<Protocol | null> {
  const known = world.protocols.of(version);
  if (known.version === version) return known;
  const files = await ledger.version(version);
  const read = files ? openProtocol(files, version) : null;
  return read?.ok ? read.value : null;
}

export async function backup(args: string[]): Promise<number> {
  const [file] = args;
  if (!file) return badInput('backup needs a file to write');
  const house = await openBeside(settings());
  try {
    await house.ledger.backup(file);
    await recording(house)('command', 'made a backup');
    process.stdout.write(`Backed up to ${file}\n`);
    return 0;
  } catch (fault) {
    if (isTrouble(fault)) throw fault;
    return badInput(fault instanceof Error ? fault.message : String(fault));
  } finally {
    await house.close();
  }
}

/** From the data folder's SQLite ledger to an empty PostgreSQL database. */
export async function move(): Promise<number> {
  const wanted = settings();
  const { dataDir, databaseUrl } = wanted;
  if (databaseUrl === null) return badInput('move needs DATABASE_URL, the database to move to');
  const { moveLedger } = await import('./ledger/move.ts');
  try {
    const moved = await moveLedger(
      { file: fileIn(dataDir), hash: sha256, findMaster: masterOf(wanted) },
      databaseUrl,
    );
    const counts = Object.entries(moved).map(([table, rows]) => `${rows} ${table}`);
    process.stdout.write(
      `Moved ${counts.join(', ')}. ${dataDir} stays as it was and is not served any more. The key is the same: every serve needs it.\n`,
    );
    return 0;
  } catch (fault) {
    if (isTrouble(fault)) throw fault;
    return badInput(fault instanceof Error ? fault.message : String(fault));
  }
}

/** A conversation in the terminal, on the data folder's own ledger. */
export async function talkHere(): Promise<number> {
  const house = await openHouse(settings(), true, { quiet: true });
  house.startLoops();
  const address = `talk:${process.pid}-${Date.now().toString(36)}`;
  let count = 0;
  const { words } = house.world.protocols.current;
  try {
    process.stdout.write(`${words.say(house.settings.language, 'pages.talk.opening')}\n`);
    await talk({
      input: process.stdin,
      output: process.stdout,
      send: async (text) => {
        count += 1;
        const { texts } = await house.receive({ id: `${address}:${count}`, address, text, pictures: 0 });
        return texts;
      },
      lines: async (after) => {
        const thread = await house.ledger.thread(address, after);
        return thread.flatMap(({ line, direction, text }) =>
          direction === 'out' && text !== null ? [{ line, text }] : [],
        );
      },
      partsLabel: (parts) => words.say(house.settings.language, 'pages.phone.parts', { count: parts }),
      pollMs: 500,
    });
    return 0;
  } finally {
    await house.close();
  }
}
