// The commands: `npm run -s palmward -- VERB`.
import { parseArgs } from 'node:util';
import { CannotStart } from './main.ts';
import {
  backup,
  circulation,
  move,
  position,
  questionnaire,
  replay,
  serveUntilStopped,
  settings,
  talkHere,
} from './commands.ts';
import { cases, number } from './case-book.ts';
import { deeds } from './deed-book.ts';
import { vetProtocol, withdraw } from './keeper.ts';
import { rekey } from './rekey.ts';
import { enrol, retire, rota } from './rota.ts';
import { troubleOf } from './trouble.ts';

const VERBS: Record<string, { run: (args: string[]) => Promise<number>; help: string }> = {
  serve: { run: serveUntilStopped, help: 'serve                       answer texts, web chat and the desk' },
  talk: { run: talkHere, help: 'talk                        a conversation in this terminal' },
  position: { run: position, help: 'position < findings.json    findings as JSON -> plan as JSON' },
  circulation: {
    run: circulation,
    help: 'circulation < check.json    a circulation check as JSON -> its outcome',
  },
  questionnaire: {
    run: questionnaire,
    help: 'questionnaire [--language es]  the question tree as a FHIR Questionnaire',
  },
  vet: {
    run: vetProtocol,
    help: `vet                         hold the protocol and the words against each other
      --sheet FILE [--language es]  and write the sheet that a keeper signs
      --since VERSION|FOLDER    tell what differs from an older version, and vet nothing
      --schema DIR                  and write JSON schemas of flows/ for an editor`,
  },
  withdraw: {
    run: (args) => withdraw(args, settings()),
    help: 'withdraw VERSION "reason"    bring a clinician into every open case under a version',
  },
  enrol: {
    run: (args) => enrol(args, settings),
    help: `enrol NAME NUMBER [LANGUAGE] add a clinician to the end of the rota
      NUMBER --renew            a new passphrase and second factor
      NUMBER --code CODE        confirm the second factor`,
  },
  retire: {
    run: (args) => retire(args, settings),
    help: 'retire NUMBER               take a clinician off the rota; their calls are passed on',
  },
  rota: {
    run: (args) => rota(args, settings),
    help: `rota                        who is on call now, the next days, and the gaps
      --numbers                 and everybody's number, which is written down`,
  },
  cases: {
    run: (args) => cases(args, settings),
    help: 'cases                       the open cases, most urgent first, and what each needs',
  },
  number: {
    run: (args) => number(args, settings),
    help: "number CASE                 the helper's number, to phone them, which is written down",
  },
  deeds: {
    run: (args) => deeds(args, settings),
    help: `deeds                       who saw and did what at the desk
      --verify [HASH]           exit 1 where anything of it was changed`,
  },
  replay: { run: replay, help: 'replay CASE                 fold the events of a case again and compare' },
  rekey: {
    run: async () => rekey(settings()),
    help: 'rekey                       change the key that numbers and texts are sealed with; stop serve first',
  },
  backup: { run: backup, help: 'backup FILE                 copy the ledger while it runs' },
  move: {
    run: move,
    help: 'move                        from SQLite in DATA_DIR to PostgreSQL at DATABASE_URL',
  },
};

/** Bad use of a command: one clear line, exit 2. */
const USAGE = 2;

async function main(argv: string[]): Promise<number> {
  const { positionals } = parseArgs({ args: argv, allowPositionals: true, strict: false });
  const [verb = ''] = positionals;
  const known = VERBS[verb];
  if (known) return known.run(argv.slice(argv.indexOf(verb) + 1));
  const asked = argv.includes('--help') || verb === 'help';
  (asked ? process.stdout : process.stderr).write(
    `${asked || verb === '' ? '' : `No command "${verb}".\n`}Commands:\n${Object.values(VERBS)
      .map(({ help }) => `  ${help}\n`)
      .join('')}`,
  );
  return asked ? 0 : USAGE;
}

/** Null for a fault of the program: then it is shown with its place. */
function linesOf(fault: unknown): string[] | null {
  if (fault instanceof CannotStart) return fault.lines;
  const trouble = troubleOf(fault);
  return trouble === null ? null : [trouble];
}

// Whoever reads only the first lines (`| head -1`) closes the rest: the command still does its work.
for (const output of [process.stdout, process.stderr])
  output.on('error', (fault: NodeJS.ErrnoException) => {
    if (fault.code !== 'EPIPE') throw fault;
  });

try {
  process.exitCode = await main(process.argv.slice(2));
} catch (fault) {
  const lines = linesOf(fault);
  if (lines === null) throw fault;
  process.stderr.write(`${lines.join('\n')}\n`);
  process.exitCode = 1;
}
