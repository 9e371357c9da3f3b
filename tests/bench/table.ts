// The results as a table to read.
import type { Results } from './bench.ts';
import type { ChatBytes } from './chat.ts';
import type { Costs } from './costs.ts';
import type { Desk } from './desk.ts';
import type { Growth } from './growth.ts';
import type { Memory } from './memory.ts';
import type { Parts } from './parts.ts';
import type { OnPostgres } from './postgres.ts';
import type { Fired, Timers } from './timers.ts';
import type { Turns } from './turns.ts';

type Row = [what: string, figure: string];

export function tableOf({
  turns,
  postgres,
  memory,
  growth,
  timers,
  parts,
  costs,
  desk,
  plans,
  vet,
  chat,
}: Results): string {
  const rows: Row[] = [
    ...(turns ? turnRows(turns) : []),
    ...(postgres ? postgresRows(postgres) : []),
    ...(memory ? [memory, ...memory.sizes].flatMap(memoryRows) : []),
    ...(growth ? growthRows(growth) : []),
    ...(timers ? timerRows(timers) : []),
    ...(parts ? partRows(parts) : []),
    ...(costs ? costs.map(costRow) : []),
    ...(desk ? desk.flatMap(deskRows) : []),
    ...(plans ? ([['plans a second, random findings', String(plans.perSecond)]] satisfies Row[]) : []),
    ...(vet ? ([['vetting the protocol', `${vet.seconds} s, ${vet.faults} faults`]] satisfies Row[]) : []),
    ...(chat ? chat.flatMap(chatRows) : []),
  ];
  const width = Math.max(...rows.map(([what]) => what.length));
  return rows.map(([what, figure]) => `${what.padEnd(width)}  ${figure}`).join('\n');
}

function turnRows({
  naive,
  palmward,
  ratio,
  p50Ms,
  p99Ms,
  naiveP99Ms,
  flushMs,
  pairs,
  connections,
}: Turns): Row[] {
  return [
    [`turns a second, Palmward (${connections} connections)`, String(palmward)],
    ['  the naive handler, same posts', String(naive)],
    ['  ratio, median of the pairs', `${ratio}  (${pairs.map((pair) => pair.ratio).join(', ')})`],
    ['  Palmward, half within / 99 of 100 within', `${p50Ms} ms / ${p99Ms} ms`],
    ['  the naive handler, 99 of 100 within', `${naiveP99Ms} ms`],
    ['  one flush of this disk, half within', `${flushMs} ms`],
  ];
}

function postgresRows({ naive, one, two, timers }: OnPostgres): Row[] {
  const turns = ({ perSecond, ratio, p99Ms }: OnPostgres['one']) =>
    `${perSecond}, ${ratio} of the naive handler, 99 of 100 within ${p99Ms} ms`;
  return [
    ['turns a second on PostgreSQL, one process', turns(one)],
    ['  two processes', turns(two)],
    ['  the naive handler (on SQLite), same posts', String(naive)],
    [
      '  timers a second, whole turns / that want nothing',
      `${timers.firedPerSecond} / ${timers.plainPerSecond}`,
    ],
    [
      '  plain jobs of graphile-worker a second',
      `${timers.jobsPerSecond}; we are ${timers.ratio} / ${timers.plainRatio} of it`,
    ],
  ];
}

function deskRows(desk: Desk): Row[] {
  return [
    [
      `the desk with ${desk.cases} open cases, first row: half / 99 of 100`,
      `${desk.firstRowMs} ms / ${desk.firstRowP99Ms} ms`,
    ],
    ['  the page, and squeezed', `${desk.pageKb} KB, ${desk.gzipKb} KB`],
    [
      '  from a text to its row on the stream: half / 99 of 100',
      `${desk.updateMs} ms / ${desk.updateP99Ms} ms, ${desk.updateBytes} bytes`,
    ],
    [
      `  to its row painted in a browser, ${desk.paintedTexts} texts, three a second: half / 99 of 100`,
      `${desk.paintedMs} ms / ${desk.paintedP99Ms} ms`,
    ],
  ];
}

function growthRows(growth: Growth): Row[] {
  const { ratio, atStartRatio, fewCases, manyCases, runIn, fewMs, manyMs, fewP99Ms, manyP99Ms } = growth;
  return [
    [`a turn with ${manyCases} cases over one with ${fewCases}`, `${ratio} times as long`],
    ['  half within / 99 of 100 within', `${manyMs} ms / ${manyP99Ms} ms over ${fewMs} ms / ${fewP99Ms} ms`],
    [`  just after a start, ${runIn} turns before`, `${atStartRatio} times as long`],
  ];
}

function timerRows({ pending, duePerSecond, scattered, ...inOrder }: Timers): Row[] {
  const rows = (order: string, fired: Fired): Row[] => [
    [`timers a second of ${pending} pending, ${order}: whole turns`, String(fired.firedPerSecond)],
    ['  that want nothing', String(fired.plainPerSecond)],
    ['  early / out of order', `${fired.early} / ${fired.outOfOrder}`],
    [
      `  late where ${duePerSecond} fall due a second: half / 99 of 100 / most`,
      `${fired.p50LatenessMs} ms / ${fired.p99LatenessMs} ms / ${fired.mostLatenessMs} ms`,
    ],
  ];
  return [...rows('as in a week of cases', inOrder), ...rows('scattered over the file', scattered)];
}

function memoryRows({ cases, rssMb, heapMb, fileMb, openMs, turnMs, turnP99Ms }: Memory): Row[] {
  return [
    [`${cases} open cases: resident / heap`, `${rssMb} MB / ${heapMb} MB`],
    ['  the file / opening the house', `${fileMb} MB / ${openMs} ms`],
    ['  one turn alone, half within / 99 of 100', `${turnMs} ms / ${turnP99Ms} ms`],
  ];
}

function chatRows({ language, injury, firstLoad, turns, drawing }: ChatBytes): Row[] {
  const sizes = turns.map(({ sent, answered }) => sent + answered);
  const whole = sizes.reduce((sum, size) => sum + size, 0);
  return [
    [`${language}: web chat, first load with headers`, `${firstLoad} bytes`],
    [
      `  ${injury}: bodies of a turn, mean / most / all`,
      `${Math.round(whole / sizes.length)} / ${Math.max(...sizes)} / ${whole} bytes in ${sizes.length} turns; the drawing ${drawing}`,
    ],
  ];
}

function partRows(parts: Parts[]): Row[] {
  return parts.map(({ language, injury, questions, toPlan, wholePlan }): Row => [
    `${language}: ${injury}`,
    `${questions} questions, ${toPlan} SMS parts to the plan's first text, ${wholePlan} for the whole plan`,
  ]);
}

function costRow({ language, calendar, checks, fromHelper, ...parts }: Costs): Row {
  return [
    `${language}: a whole case, ${calendar} calendar`,
    `${parts.toFitted} SMS parts until the splint is on, ${parts.watch} for ${checks} checks in 7 days; ${fromHelper} texts come in; ${parts.toClinicians} parts to clinicians`,
  ];
}
