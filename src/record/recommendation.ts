// Recommendation: how it is held and splinted, when it is to be seen, what to think of, what the helper was told last.
import type { Plan, Splint } from '../model.ts';
import { changeRows } from './changes.ts';
import { digitsOf, foundIn, known, skinOf } from './findings.ts';
import { freeIn, heldIn, nameOf, type Held } from './held.ts';
import { urgencyOf } from './urgency.ts';
import { momentOf } from './moments.ts';
import type { Telling } from './recorded.ts';
import type { Row } from './rows.ts';

const HOUR = 3_600_000;

export function recommendation(telling: Telling): Row[] {
  const { say, case: of } = telling;
  const { plan } = of;
  const flags = flagsOf(telling).map((flag) => say(`record.flag.${flag}`));
  return [
    ['hold', say(`record.hold.${holdOf(plan)}`)],
    ...changeRows(telling),
    ...(plan ? planned(telling, plan) : []),
    ['flags', flags.join('; ') || say('record.none')],
    ['told', lastTold(telling)],
    ['decides', say('record.decides')],
  ];
}

/** A key under `record.hold`. */
export function holdOf(plan: Plan | null): string {
  if (!plan) return 'no-plan';
  return plan.conflict ? 'conflict' : plan.hold;
}

function planned(telling: Telling, plan: Plan): Row[] {
  const { say, case: of } = telling;
  const { usualStay } = plan;
  const splints = plan.splints.map((splint) => splintInWords(splint, telling)).join('; ');
  const material = of.material ? say(`record.material.${of.material}`) : null;
  const rows: (readonly [string, string | null])[] = [
    ['splint', splints === '' ? null : [splints, material].filter((each) => each !== null).join('; ')],
    ['since', plan.splints.length === 0 ? null : fittedInWords(telling)],
    ['free', plan.free.length > 0 ? freeIn(plan, say) : null],
    ['seen', seenInWords(telling, plan)],
    ['stay', usualStay && say('record.weeks', { from: usualStay.weeks[0], to: usualStay.weeks[1] })],
    ['tolerated', toleratedInWords(telling, plan)],
  ];
  return rows.flatMap(([key, says]) => (says ? [[key, says] as const] : []));
}

function fittedInWords(telling: Telling): string {
  const { fittedAt } = telling.case;
  return fittedAt === null ? telling.say('record.not-fitted') : momentOf(telling, fittedAt);
}

export function splintInWords({ face, from, to, digits }: Splint, { say }: Telling): string {
  const named = face === 'finger' || face === 'tip' ? ` (${digitsOf(digits, say)})` : '';
  return say('record.splint', {
    face: `${say(`record.face-of-splint.${face}`)}${named}`,
    from: say(`plan.from.${from}`),
    to: say(`plan.to.${to}`),
  });
}

/** When a clinician should have seen it: a moment, counted from the plan. */
export function seenByOf({ case: of, history }: Telling): number | null {
  const hours = of.plan?.seenBy.hours;
  return hours === undefined ? null : (history.plannedAt ?? of.openedAt) + hours * HOUR;
}

function seenInWords(telling: Telling, plan: Plan): string {
  const { say, case: of, history } = telling;
  if (of.facts['seen'] === 'seen')
    return say('record.seen.told', {
      time: momentOf(telling, history.answeredAt['seen'] ?? telling.at),
    });
  const by = seenByOf(telling);
  if (urgencyOf(telling) === 'now' || by === null) return say('record.seen.now');
  return say(plan.seenBy.unlessBetter ? 'record.seen.unless-better' : 'record.seen.within', {
    time: momentOf(telling, by),
  });
}

function toleratedInWords({ say }: Telling, { tolerated }: Plan): string | null {
  const told = tolerated.map(({ digit, degrees: [from, to] }) =>
    say('record.bend', { digit: digitsOf([digit], say), from, to }),
  );
  return told.join('; ') || null;
}

/** What whoever receives the person should think of: keys under `record.flag`. Common practice, for them to decide. */
export function flagsOf(telling: Telling): string[] {
  const { plan, facts } = telling.case;
  const { sites } = foundIn(telling);
  const has = (row: string) => plan?.injuries.includes(row) ?? false;
  const isOpen = sites.some((site) => skinOf(site) !== 'none' || site.signs?.includes('bone-visible'));
  const tetanus = known(facts['tetanus']);
  const flags: Record<string, boolean> = {
    antibiotic: has('open-break'),
    tetanus: isOpen && tetanus === 'longer',
    'tetanus-unknown': isOpen && tetanus === 'not-told',
    rabies: sites.some(({ cause }) => cause === 'bite' || cause === 'animal-bite'),
    ring: sites.some(({ signs }) => signs?.includes('ring-stuck')),
    'film-again': plan?.cautions.includes('film-again-in-10-to-14-days') ?? false,
  };
  return Object.keys(flags).filter((flag) => flags[flag]);
}

// A question tells nothing: what was said to do last is looked for first.
function lastTold({ said, say }: Telling): string {
  const told = said.filter(({ by }) => by !== 'helper');
  const last = told.findLast(({ key }) => !ASKS.test(key ?? '')) ?? told.at(-1);
  return last ? (last.text ?? say('record.said.deleted')) : say('record.none');
}

const ASKS = /^(ask|unclear|call)[.]|^check[.](ask|again|alone|baseline)|^talk[.]noted/;

/** The position as rows of a table: joint, motion, range, aim. */
export function positionRows({ say, case: of }: Telling): { held: Held; cells: string[] }[] {
  if (of.plan?.hold !== 'as-planned') return [];
  return heldIn(of.plan).map((held) => ({
    held,
    cells: [
      nameOf(held, say),
      say(`record.direction.${held.direction}`),
      say('record.degrees', { from: held.degrees[0], to: held.degrees[1] }),
      `${held.aim}°`,
    ],
  }));
}
