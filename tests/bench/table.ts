// The results as a table to read.
import type { Results } from './bench.ts';
import type { Costs } from './costs.ts';
import type { Memory } from './memory.ts';
import type { Parts } from './parts.ts';
import type { Turns } from './turns.ts';

type Row = [what: string, figure: string];

export function tableOf({ turns, memory, parts, costs, plans, vet }: Results): string {
  const rows: Row[] = [
    ...(turns ? turnRows(turns) : []),
    ...(memory ? memoryRows(memory) : []),
    ...(parts ? partRows(parts) : []),
    ...(costs ? costs.map(costRow) : []),
    ...(plans ? ([['plans a second, random findings', String(plans.perSecond)]] satisfies Row[]) : []),
    ...(vet ? ([['vetting the protocol', `${vet.seconds} s, ${vet.faults} faults`]] satisfies Row[]) : []),
  ];
  const width = Math.max(...rows.map(([what]) => what.length));
  return rows.map(([what, figure]) => `${what.padEnd(width)}  ${figure}`).join('\n');
}

function turnRows({ naive, palmward, ratio, p50Ms, p99Ms, naiveP99Ms, pairs, connections }: Turns): Row[] {
  return [
    [`turns a second, Palmward (${connections} connections)`, String(palmward)],
    ['  the naive handler, same posts', String(naive)],
    ['  ratio, median of the pairs', `${ratio}  (${pairs.map((pair) => pair.ratio).join(', ')})`],
    ['  Palmward, half within / 99 of 100 within', `${p50Ms} ms / ${p99Ms} ms`],
    ['  the naive handler, 99 of 100 within', `${naiveP99Ms} ms`],
  ];
}

function memoryRows({ cases, rssMb, heapMb, fileMb, openMs, turnMs, turnP99Ms }: Memory): Row[] {
  return [
    [`${cases} open cases: resident / heap`, `${rssMb} MB / ${heapMb} MB`],
    ['  the file / opening the house', `${fileMb} MB / ${openMs} ms`],
    ['  one turn alone, half within / 99 of 100', `${turnMs} ms / ${turnP99Ms} ms`],
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
