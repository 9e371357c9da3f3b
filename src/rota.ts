// The commands for who sits at the desk: putting somebody on the rota, renewing their sign-in, taking them off it.
import { createInterface } from 'node:readline/promises';
import { parseArgs } from 'node:util';
import type { Clinician } from './care/types.ts';
import { recording } from './duty/deeds.ts';
import { bareNumber } from './duty/entry/door.ts';
import { giveSignIn, isNumber, newClinicianId } from './duty/entry/enrolment.ts';
import { rotaLines } from './duty/rota/rota-lines.ts';
import { stepOf } from './duty/entry/totp.ts';
import { openBeside, type House } from './main.ts';
import { passOnStray } from './mailroom/pass-on.ts';
import type { Settings } from './settings.ts';

const BAD_INPUT = 2;
const MOST_TRIES = 3;
const USAGE =
  'enrol needs a name and a number such as +12025550190, and a language if it is not en; or a number with --renew or --code CODE';

interface Enrolment {
  name: string;
  number: string;
  language: string;
}

function badInput(line: string): number {
  process.stderr.write(`${line}\n`);
  return BAD_INPUT;
}

const print = (line: string): void => void process.stdout.write(`${line}\n`);

/** `enrol NAME NUMBER [LANGUAGE]`, `enrol NUMBER --renew`, `enrol NUMBER --code CODE`. */
export async function enrol(args: string[], settings: () => Settings): Promise<number> {
  const read = readArgs(args);
  if (!read) return badInput(USAGE);
  const { given, renew, code } = read;
  const house = await openBeside(settings());
  try {
    const clinicians = await house.ledger.clinicians();
    const known = clinicians.find(({ number }) => number === given.number) ?? null;
    if (!renew && code === null) return known ? alreadyThere(known) : await add(house, given);
    if (!known) return badInput(`${given.number} is not on the rota`);
    return code === null ? await renewed(house, known) : await confirm(house, known, code);
  } finally {
    await house.close();
  }
}

function readArgs(args: string[]): { given: Enrolment; renew: boolean; code: string | null } | null {
  try {
    const options = { renew: { type: 'boolean' }, code: { type: 'string' } } as const;
    const { values, positionals } = parseArgs({ args, options, allowPositionals: true });
    const renew = values.renew ?? false;
    const code = values.code ?? null;
    const [name = '', number = '', language = 'en'] =
      renew || code !== null ? ['somebody', positionals.at(-1)] : positionals;
    const given = { name: name.trim(), number: bareNumber(number), language };
    return given.name !== '' && isNumber(given.number) && !(renew && code !== null)
      ? { given, renew, code }
      : null;
  } catch {
    return null;
  }
}

function alreadyThere({ number }: Clinician): number {
  return badInput(
    `${number} is on the rota already; a new passphrase and second factor: enrol ${number} --renew`,
  );
}

async function add(house: House, { name, number, language }: Enrolment): Promise<number> {
  const { languages } = house.world.protocols.current.words;
  if (!languages.includes(language))
    return badInput(`no language "${language}": locales/ has ${languages.join(', ')}`);
  const id = newClinicianId();
  const added = await showSignIn(house, { id, name, number, language }, (passphrase, place) => [
    `${name} is on the rota, called as number ${place}.`,
    `Passphrase for the desk, shown this once: ${passphrase}`,
  ]);
  await recording(house)('command', 'enrolled', id);
  return askForCode(house, added);
}

/** Ends their sessions too: each rests on the passphrase it began with. */
async function renewed(house: House, known: Clinician): Promise<number> {
  const again = await showSignIn(house, known, (passphrase) => [
    `The old sign-in of ${known.name} is over.`,
    `New passphrase for the desk, shown this once: ${passphrase}`,
  ]);
  await recording(house)('command', 'renewed a sign-in', known.id);
  return askForCode(house, again);
}

async function showSignIn(
  { ledger }: House,
  clinician: Omit<Clinician, 'place' | 'duty'>,
  told: (passphrase: string, place: number) => string[],
): Promise<Clinician> {
  const { kept, shown } = await giveSignIn(ledger, clinician);
  told(shown.passphrase, kept.place).forEach(print);
  print(
    `Second factor, shown this once: put it into an authenticator app as a key (time-based)\n  ${shown.secret}`,
  );
  print(`or as a link\n  ${shown.link}`);
  return kept;
}

/** At a terminal the code is asked for at once; otherwise `--code` can follow, or the first sign-in confirms it. */
async function askForCode(house: House, clinician: Clinician): Promise<number> {
  const rule = house.settings.practice
    ? 'until then, in practice, the desk opens without a code'
    : 'the desk asks for a code at each sign-in';
  const later = `To confirm it: enrol ${clinician.number} --code CODE, or sign in with a code; ${rule}.`;
  if (!process.stdin.isTTY) {
    print(later);
    return 0;
  }
  const asking = createInterface({ input: process.stdin, output: process.stdout });
  try {
    for (let tries = 0; tries < MOST_TRIES; tries++) {
      const code = await asking.question('Code that the app shows now (Enter: later): ');
      if (code.trim() === '') break;
      if ((await confirm(house, clinician, code)) === 0) return 0;
    }
    print(later);
    return 0;
  } finally {
    asking.close();
  }
}

async function confirm(house: House, { id, name }: Clinician, code: string): Promise<number> {
  const factor = await house.ledger.secondFactor(id);
  if (!factor) return badInput(`${name} has no second factor yet: enrol NUMBER --renew gives one`);
  const step = stepOf(factor.secret, code, house.realNow(), factor.step);
  if (step === null || !(await house.ledger.takeStep(id, step)))
    return badInput('That code does not fit, or was used already. Is the clock of the phone right?');
  await recording(house)('command', 'confirmed a second factor', id);
  print(`The second factor of ${name} is confirmed. The desk asks for a code from now on.`);
  return 0;
}

/** `retire NUMBER`. What is still with them where it is cut short, or given to them in that very moment, a serve passes on. */
export async function retire(args: string[], settings: () => Settings): Promise<number> {
  const number = bareNumber(args[0] ?? '');
  if (args.length !== 1 || !isNumber(number))
    return badInput('retire needs the number of somebody on the rota, such as +12025550190');
  const house = await openBeside(settings());
  try {
    const known = (await house.ledger.clinicians()).find((one) => one.number === number);
    if (!known) return badInput(`${number} is not on the rota`);
    await house.ledger.retire(known.id);
    await recording(house)('command', 'retired', known.id);
    const passed = await passOnStray(house.ledger, house.world);
    print(`${known.name} is off the rota and cannot sign in. Calls passed on: ${passed}.`);
    return 0;
  } finally {
    await house.close();
  }
}

/** `rota`: who is on call now, the next days, and the gaps; with `--numbers` whom to phone, too. */
export async function rota(args: string[], settings: () => Settings): Promise<number> {
  const withNumbers = args[0] === '--numbers';
  if (args.length > (withNumbers ? 1 : 0)) return badInput('rota takes nothing, or --numbers');
  const house = await openBeside(settings());
  try {
    const clinicians = await house.ledger.clinicians();
    if (withNumbers) await recording(house)('command', 'saw the numbers of the rota');
    rotaLines(clinicians, house.world.clock.now(), house.settings.timeZone).forEach(print);
    if (withNumbers) clinicians.forEach(({ name, number }) => print(`${number}  ${name}`));
    return 0;
  } finally {
    await house.close();
  }
}
