// The rest of what a keeper signs: the limits of the circulation check, the calendars and waits of the watch, and every
// text that is said besides questions and plans.
import { parse } from 'yaml';
import type { Protocol } from '../care/protocol.ts';
import type { SourceFile } from '../model.ts';
import { html, type Markup } from '../wording/markup.ts';
import { table } from './table.ts';

/** `flows/circulation.yaml` as a table, number by number. */
export function circulationTable(files: readonly SourceFile[]): Markup {
  return table(['limit', 'seconds', 'sources', 'why'], rowsIn(files, 'flows/circulation.yaml', 'seconds'));
}

/** `flows/watch.yaml` as tables: when a calendar asks, and how long is waited for what. */
export function watchTable(files: readonly SourceFile[]): Markup {
  const { calendars } = valueOf(files, 'flows/watch.yaml') as { calendars: Record<string, Calendar> };
  const steps = Object.entries(calendars).map(([name, { night, steps, source, why = '' }]) => [
    name,
    `${steps.map(stepWords).join(', ')}; at night: ${night.replaceAll('-', ' ')}`,
    source.join(', '),
    why,
  ]);
  return html`${table(['calendar', 'asks after fitting at', 'sources', 'why'], steps)}
  ${table(['wait', 'span', 'sources', 'why'], rowsIn(files, 'flows/watch.yaml', 'span'))}`;
}

interface Calendar {
  night: string;
  steps: Record<string, string>[];
  source: string[];
  why?: string;
}

function stepWords({ at, every, until }: Record<string, string>): string {
  return at ?? `every ${every} until ${until}`;
}

interface Numbered {
  source?: string[];
  why?: string;
  [field: string]: unknown;
}

/** Whatever has a number under `field`, however deep, with its sources and reason. */
function rowsIn(files: readonly SourceFile[], path: string, field: string): string[][] {
  const look = (value: unknown, name: string): string[][] => {
    if (value === null || typeof value !== 'object' || Array.isArray(value)) return [];
    const { source, why, [field]: number } = value as Numbered;
    if (number !== undefined)
      return [[name, `${number as string | number}`, [source ?? []].flat().join(', '), why ?? '']];
    return Object.entries(value).flatMap(([key, below]) => look(below, name === '' ? key : `${name} ${key}`));
  };
  return look(valueOf(files, path), '');
}

function valueOf(files: readonly SourceFile[], path: string): unknown {
  return parse(files.find((file) => file.path === path)?.text ?? '{}');
}

/** Groups of the catalogue that are sent to helpers and clinicians, besides questions and the pieces of a plan. */
const SAID = /^(talk|check|make|fit|care|call|size|unclear|plan[.]advice)[.]/;

/** Each with the gaps that are filled in as it is said. */
export function everythingSaid(files: readonly SourceFile[], { words }: Protocol, language: string): Markup {
  const texts = files
    .filter(({ path }) => path.startsWith(`locales/${language}/`))
    .flatMap(({ path, text }) => textsIn(parse(text), path.replace(/^.*\/|[.]yaml$/g, '')))
    .filter(([key]) => SAID.test(key));
  return html`<table>
    ${texts.map(
      ([key, text]) =>
        html`<tr>
          <td>${key}</td>
          <td class="text" lang="${language}" dir="${words.direction(language)}">${text}</td>
        </tr>`,
    )}
  </table>`;
}

function textsIn(value: unknown, name: string): [string, string][] {
  if (typeof value === 'string') return [[name, value]];
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return [];
  return Object.entries(value).flatMap(([key, below]) => textsIn(below, `${name}.${key}`));
}
