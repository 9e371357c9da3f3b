// The commands for when texting fails: which cases are open and what each needs, and the number of one case's helper.
import { recording } from './duty/deeds.ts';
import { needOf, whoHas } from './duty/list/needs.ts';
import { moment } from './duty/rota/rota-times.ts';
import { openBeside } from './main.ts';
import { MOST_CASES } from './mailroom/withdraw.ts';
import type { Case, Instant } from './care/types.ts';
import { nextCheckOf } from './record/next-check.ts';
import type { Settings } from './settings.ts';

const BAD_INPUT = 2;
/** The commands speak English. */
const LANGUAGE = 'en-GB';
const SMS = 'sms:';
const WIRES: Record<string, string> = {
  sms: 'SMS',
  chat: 'web chat',
  phone: 'practice phone',
  talk: 'terminal',
  '': 'forgotten',
};

export interface Looking {
  /** On the cases' clock. */
  now: Instant;
  zone: string;
  /** Of the clinicians, by id. */
  names: ReadonlyMap<string, string>;
}

function badInput(line: string): number {
  process.stderr.write(`${line}\n`);
  return BAD_INPUT;
}

/** `cases`: the open ones, as the desk has them in order; never with a number. */
export async function cases(args: string[], settings: () => Settings): Promise<number> {
  if (args.length > 0) return badInput('cases takes nothing');
  const house = await openBeside(settings());
  try {
    const { ledger, world } = house;
    const open = await ledger.openCases(MOST_CASES);
    const names = new Map((await ledger.clinicians()).map(({ id, name }) => [id, name]));
    const looking = { now: world.clock.now(), zone: house.settings.timeZone, names };
    await recording(house)('command', 'saw the list');
    const lines = open.length === 0 ? ['No open case.'] : open.map((one) => caseLine(one, looking));
    process.stdout.write(`${lines.join('\n')}\n`);
    return 0;
  } finally {
    await house.close();
  }
}

/** Code, what it needs, stage, and how its helper is reached. */
export function caseLine(one: Case, looking: Looking): string {
  return [one.code, needInWords(one, looking), one.stage, WIRES[wireOf(one)] ?? wireOf(one)].join('  ');
}

function wireOf({ contact }: Case): string {
  return contact.split(':')[0] ?? '';
}

/** Who has it comes before the check: both may be wanted of one case. */
function needInWords(one: Case, looking: Looking): string {
  const needs = [callInWords(one, looking), checkInWords(one, looking)];
  return needs.filter((need) => need !== null).join(', ') || 'quiet';
}

function callInWords(one: Case, { zone, names }: Looking): string | null {
  const { call } = one;
  const has = whoHas(one);
  const name = has && (names.get(has.id) ?? has.id);
  if (call?.state === 'open')
    return `call open since ${moment(LANGUAGE, zone, call.openedAt)} (${call.urgency}), ${name === null ? 'nobody is rung' : `${name} is rung`}`;
  return name === null ? null : `held by ${name}`;
}

function checkInWords(one: Case, { now, zone }: Looking): string | null {
  const wanted = one.check?.since ?? nextCheckOf(one);
  if (wanted === null) return null;
  // A call takes the place of a late check in what the desk calls a need; here both are told.
  const isLate = needOf({ ...one, call: null }, now) === 'late';
  const at = moment(LANGUAGE, zone, wanted);
  if (isLate) return `check late since ${at}`;
  return one.check ? `check asked at ${at}` : `next check at ${at}`;
}

/** `number CASE`: to phone the helper; nothing else on the standard output. */
export async function number(args: string[], settings: () => Settings): Promise<number> {
  const code = args[0]?.toUpperCase();
  if (!code || args.length > 1) return badInput('number needs the code of one case');
  const house = await openBeside(settings());
  try {
    const one = await house.ledger.case(code);
    if (!one) return badInput(`no case ${code}`);
    const why = unreachable(one);
    if (why !== null) {
      process.stderr.write(`${code} has no number: ${why}\n`);
      return 1;
    }
    await recording(house)('command', 'saw the number', code);
    process.stdout.write(`${one.contact.slice(SMS.length)}\n`);
    return 0;
  } finally {
    await house.close();
  }
}

/** Why nobody can be phoned; null where somebody can. */
function unreachable(one: Case): string | null {
  if (one.contact.startsWith(SMS)) return null;
  if (one.contact === '') return 'it was forgotten, as the helper wished or after its time';
  return `it came by ${WIRES[wireOf(one)] ?? wireOf(one)}; write to the helper at the desk, /duty/cases/${one.code}`;
}
