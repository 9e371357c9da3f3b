// Writes the notices of everything that goes into a release: each package of the lock file that is not for development,
// with its licence and the texts that it brings along. Exit 1 where one names no licence or is not installed.
//   node deploy/notices.mjs > THIRD-PARTY-NOTICES.txt
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const LICENCE_FILE = /^(licen[cs]e|copying|notice|third.?party)/i;

const { packages } = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8'));
const shipped = Object.entries(packages)
  .filter(([place, { dev, devOptional }]) => place !== '' && !dev && !devOptional)
  .map(([place, { optional = false }]) => ({ place, optional }));

const faults = [];
const notices = shipped.flatMap(({ place, optional }) => {
  const folder = join(root, place);
  if (!existsSync(join(folder, 'package.json'))) {
    if (!optional) faults.push(`${place} is not installed: npm ci`);
    return [];
  }
  return [noticeOf(folder)];
});
// A package may be there twice, in two versions or in one.
process.stdout.write([...new Set(notices)].toSorted().join('\n'));
for (const fault of faults) process.stderr.write(`${fault}\n`);
process.exitCode = faults.length > 0 ? 1 : 0;

function noticeOf(folder) {
  const { name, version, license, author, homepage, repository } = JSON.parse(
    readFileSync(join(folder, 'package.json'), 'utf8'),
  );
  if (typeof license !== 'string') faults.push(`${name} ${version} names no licence`);
  const head = [
    `${name} ${version}`,
    `Licence: ${typeof license === 'string' ? license : 'not named'}`,
    ...lineOf('By', author?.name ?? author),
    ...lineOf('From', homepage ?? repository?.url ?? repository),
  ].join('\n');
  const texts = readdirSync(folder)
    .filter((file) => LICENCE_FILE.test(file) && !/[.][cm]?[jt]s$/.test(file))
    .toSorted()
    .map((file) => readFileSync(join(folder, file), 'utf8').trim());
  if (texts.length === 0) texts.push('(The package brings no text of its licence.)');
  return `${'='.repeat(80)}\n${[head, ...texts].join('\n\n')}\n`;
}

function lineOf(label, value) {
  return typeof value === 'string' && value !== '' ? [`${label}: ${value}`] : [];
}
