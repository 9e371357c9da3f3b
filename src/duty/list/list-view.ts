// The list as one clinician sees it at one moment, and what of it is news to a page that shows an earlier state.
import { createHash } from 'node:crypto';
import type { Needs } from '../../ledger/port.ts';
import { type Row, rowOf, whoInWords } from './case-row.ts';
import { type Reader, say } from '../desk.ts';
import type { Case, Instant } from '../kept.ts';
import { type Need, needOf, NEEDS, whoHas } from './needs.ts';
import { fillTimes } from './passing.ts';

/** What is read for a list. */
export interface Listed {
  cases: readonly Case[];
  needs: Needs;
  /** Of the clinicians, by id. */
  names: ReadonlyMap<string, string>;
  limitOf: (of: Case) => number;
}

export interface View {
  /** The same for the same rows in the same order, whoever looks. */
  id: string;
  rows: readonly Row[];
  needs: Needs;
}

/** As it goes over the wire. `list` is absent where only time went by. */
export interface News {
  id: string;
  now: Instant;
  list?: {
    needs: Needs;
    order: Partial<Record<Need, string[]>>;
    /** Markup of those that are new or changed, by code. */
    rows: Record<string, string>;
    rest: string;
  };
}

/** Rows made before, by language and code. */
export type Made = Map<string, { of: string; row: Row }>;
const MOST_MADE = 4000;

/** Makes anew only the rows of cases that had a turn, or whose need or holder changed. */
export function viewOf(reader: Reader, me: string, listed: Listed, made: Made): View {
  if (made.size > MOST_MADE) made.clear();
  const rows = listed.cases.map((one) => {
    const need = needOf(one, reader.now);
    const who = whoInWords(reader, one, me, listed.names);
    const of = [one.turns, need, who, one.contact.slice(0, 5)].join(' ');
    const key = `${reader.language} ${me} ${one.code}`;
    const before = made.get(key);
    if (before?.of === of) return before.row;
    const row = rowOf(reader, one, { need, who, isMine: whoHas(one)?.id === me, limit: listed.limitOf(one) });
    made.set(key, { of, row });
    return row;
  });
  const state = [...NEEDS.map((need) => listed.needs[need]), ...rows.map(({ code, mark }) => code + mark)];
  const id = createHash('sha256').update(state.join(' ')).digest('base64url').slice(0, 16);
  return { id, rows, needs: listed.needs };
}

/** States that pages may still show: what each row was then. Content names them, so that all pages share one memory. */
export interface States {
  keep: (view: View) => void;
  marksOf: (id: string) => ReadonlyMap<string, string> | null;
}

const MOST_STATES = 200;

export function rememberStates(): States {
  const states = new Map<string, ReadonlyMap<string, string>>();
  return {
    keep: ({ id, rows }) => {
      const marks = states.get(id) ?? new Map(rows.map(({ code, mark }) => [code, mark]));
      states.delete(id);
      states.set(id, marks);
      if (states.size > MOST_STATES) states.delete(states.keys().next().value!);
    },
    marksOf: (id) => states.get(id) ?? null,
  };
}

/** `after`: the id of the state that the page shows; of one that is not known any more everything is news. */
export function newsSince(reader: Reader, view: View, after: string, { marksOf }: States): News {
  const { id, needs, rows } = view;
  const now = reader.now;
  if (after === id) return { id, now };
  const known = marksOf(after);
  const changed = rows.filter(({ code, mark }) => known?.get(code) !== mark);
  const fresh = changed.map(({ code, markup }) => [code, fillTimes(reader, markup)] as const);
  const order = Object.fromEntries(
    NEEDS.map((need) => [need, rows.filter((row) => row.need === need).map(({ code }) => code)]),
  );
  return { id, now, list: { needs, order, rows: Object.fromEntries(fresh), rest: restOf(reader, view) } };
}

/** What is said of cases that are open and not shown. */
export function restOf(reader: Reader, view: View): string {
  const total = totalOf(view);
  const shown = view.rows.length;
  return shown < total ? say(reader, 'list.rest', { shown, total }) : '';
}

export const totalOf = ({ needs }: View): number => NEEDS.reduce((sum, need) => sum + needs[need], 0);
