// Opens the clinical files of `flows/`: the rows, the limits, the watch and the sources, checked as a whole.
import type { z } from 'zod';
import type { Fault, Read, SourceFile } from '../model.ts';
import { compileRows } from './compile-rows.ts';
import { checkRows } from './check-rows.ts';
import { parseYaml, shapeYaml } from './read-yaml.ts';
import type { YamlFile } from './read-yaml.ts';
import {
  circulationShape,
  codesShape,
  decisionsShape,
  positionsShape,
  sourcesShape,
  watchShape,
} from './rule-shapes.ts';
import type { CirculationRules, ClinicalRules } from './rule-types.ts';
import { compileWatch } from './compile-watch.ts';
import { compileTendons, tendonsShape } from './tendon-shapes.ts';

export type { ClinicalRules } from './rule-types.ts';

const FILES = [
  'flows/sources.yaml',
  'flows/positions.yaml',
  'flows/circulation.yaml',
  'flows/watch.yaml',
  'flows/tendons.yaml',
  'flows/decisions.yaml',
  'flows/codes.yaml',
] as const;

/** Opens the clinical rules; other files among `files` are left alone. Every fault is told, with file and line. */
export function openClinical(files: readonly SourceFile[]): Read<ClinicalRules> {
  const parsed = FILES.map((path) => parseFile(path, files));
  const broken = parsed.flatMap((read) => (read.ok ? [] : read.faults));
  if (broken.length) return { ok: false, faults: broken };
  const [sources, positions, circulation, watch, tendons, decisions, codes] = parsed.map((read) =>
    read.ok ? read.value : undefined,
  );
  return checkTogether(sources!, positions!, circulation!, watch!, tendons!, decisions!, codes!);
}

/** Lists that steer no plan. A version from before there was such a file has none, and its cases still end under it. */
const LISTS: readonly string[] = ['flows/decisions.yaml', 'flows/codes.yaml'];

function parseFile(path: string, files: readonly SourceFile[]): Read<YamlFile> {
  const file = files.find((each) => each.path === path);
  if (file) return parseYaml(file);
  if (LISTS.includes(path)) return parseYaml({ path, text: '[]' });
  return { ok: false, faults: [{ file: path, line: 1, message: 'this file is missing' }] };
}

/** Holds the seven files against their shapes and each other. */
function checkTogether(
  sourcesFile: YamlFile,
  positionsFile: YamlFile,
  circulationFile: YamlFile,
  watchFile: YamlFile,
  tendonsFile: YamlFile,
  decisionsFile: YamlFile,
  codesFile: YamlFile,
): Read<ClinicalRules> {
  const keys = wordsOf(sourcesFile.value);
  const signs = signsOf(positionsFile.value);
  const sources = shapeYaml(sourcesFile, sourcesShape);
  const positions = shapeYaml(positionsFile, positionsShape(signs, keys, wordsOf(tendonsFile.value)));
  const circulation = shapeYaml(circulationFile, circulationShape(keys));
  const watch = shapeYaml(watchFile, watchShape(keys));
  const tendons = shapeYaml(tendonsFile, tendonsShape(keys));
  const decisions = shapeYaml(decisionsFile, decisionsShape(keys));
  const codes = shapeYaml(codesFile, codesShape(rowIdsOf(positionsFile.value), keys));
  const faults: Fault[] = [sources, positions, circulation, watch, tendons, decisions, codes].flatMap(
    (read) => (read.ok ? [] : read.faults),
  );
  if (positions.ok) faults.push(...checkRows(positions.value.rows, positionsFile.faultAt));
  if (
    !sources.ok ||
    !positions.ok ||
    !circulation.ok ||
    !watch.ok ||
    !tendons.ok ||
    !decisions.ok ||
    !codes.ok
  )
    return { ok: false, faults };
  if (faults.length) return { ok: false, faults };
  const rows = compileRows(positions.value.rows);
  const value = {
    signs: positions.value.signs,
    rows,
    sources: sources.value,
    circulation: plainSeconds(circulation.value),
    watch: compileWatch(watch.value),
    tendons: compileTendons(tendons.value),
    decisions: decisions.value,
    codes: codes.value,
  };
  return { ok: true, value };
}

type NamedSeconds = z.infer<ReturnType<typeof circulationShape>>;
function plainSeconds({ limits, ...others }: NamedSeconds): CirculationRules {
  const seconds = <K extends string>(named: Record<K, { seconds: number }>) =>
    Object.fromEntries(
      Object.entries<{ seconds: number }>(named).map(([name, number]) => [name, number.seconds]),
    ) as Record<K, number>;
  return { limits: seconds(limits), ...seconds(others) };
}

function wordsOf(value: unknown): string[] {
  return value !== null && typeof value === 'object' ? Object.keys(value) : [];
}

function signsOf(value: unknown): string[] {
  const signs = (value as { signs?: unknown } | null)?.signs;
  return Array.isArray(signs) ? signs.filter((sign) => typeof sign === 'string') : [];
}

function rowIdsOf(value: unknown): string[] {
  const rows = (value as { rows?: unknown } | null)?.rows;
  if (!Array.isArray(rows)) return [];
  return rows.flatMap((row: unknown) => {
    const id = (row as { id?: unknown } | null)?.id;
    return typeof id === 'string' ? [id] : [];
  });
}
