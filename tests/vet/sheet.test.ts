// The sheet that a keeper signs: one page with everything in it, nothing to load, nothing that could run.
import { beforeAll, expect, test } from 'vitest';
import { versionOf } from '../../src/protocol-files.ts';
import { signOffSheet } from '../../src/vet/sheet.ts';
import { changed, opened, SHIPPED } from './protocol-files.ts';

const EVIL = '<script>alert(1)</script>';
let page: string;
let files: typeof SHIPPED;
beforeAll(async () => {
  const note = changed(
    SHIPPED,
    'flows/sources.yaml',
    'note: Antibiotic ideally',
    `note: ${EVIL} Antibiotic ideally`,
  );
  files = changed(note, 'locales/es/plan.yaml', /^no-force: .*$/m, `no-force: "${EVIL} & \\\\N"`);
  page = await signOffSheet(opened(files), files, 'es');
}, 120_000);

test('names the version, says that it is unsigned, and has room for name, date and signature', () => {
  expect(page).toContain(`protocol version ${versionOf(files)}`);
  expect(page).toContain('unsigned: no keeper has signed it');
  for (const head of ['Name and licence', 'Date', 'Signature']) expect(page).toContain(`<th>${head}</th>`);
  expect(page).toContain(`version: '${versionOf(files)}'`);
});

test('shows the tree and every plan as pictures that cannot run anything', () => {
  const pictures = [...page.matchAll(/<img[^>]*?src="([^"]*)"/gs)].map(([, src]) => src ?? '');
  expect(pictures.length).toBeGreaterThan(50);
  for (const src of pictures) expect(src).toMatch(/^data:image\/svg\+xml,/);
  const tree = decodeURIComponent(pictures[0]!.slice('data:image/svg+xml,'.length));
  for (const question of ['[safe]', '[where]', '[look]']) expect(tree).toContain(question);
  expect(tree).toContain('pulgar');
});

test('loads nothing and escapes everything', () => {
  expect(page).not.toContain('<script');
  expect(page).not.toMatch(/<(link|iframe|object)|url\(|@import/);
  expect(page).not.toMatch(/(src|href)="(?!data:)/);
  expect(page).toContain('&#60;script&#62;alert(1)&#60;/script&#62; Antibiotic');
  expect(page.match(/&#60;script&#62;/g)?.length).toBeGreaterThan(5);
});

test('has each plan’s degrees with their sources, and its texts in the language, marked as such', () => {
  expect(page).toMatch(
    /<td>wrist<\/td>\s*<td>0<\/td>\s*<td>20<\/td>\s*<td>15<\/td>\s*<td>extension<\/td>\s*<td>boast-16; common-practice<\/td>/,
  );
  expect(page).toMatch(/<ul class="texts" lang="es" dir="ltr">\s*<li>\s*<p>/);
  expect(page).toContain('wrist-break');
});

test('lists what is open: numbers from memory, of choice, and sources that nobody has seen', () => {
  const open = page.slice(page.indexOf('<h2>Open'), page.indexOf('<h2>Sources'));
  expect(open).toMatch(
    /positions.yaml rows cut-flexor position wrist<\/td>\s*<td>flexion 15 to 35, aim 25<\/td>\s*<td>memory, choice<\/td>\s*<td>eaton-thr074/,
  );
  expect(open).toContain('eaton-thr069');
  expect(open).toContain('tendons.yaml edc arms wrist');
  expect(open).not.toMatch(/rows wrist-break<\/td>/);
});

test('has all else that is signed: limits, calendars, every text, and what sources disagree on', () => {
  expect(page).toMatch(/<td>limits female<\/td>\s*<td>2.9<\/td>\s*<td>schriger-baraff-1988<\/td>/);
  expect(page).toMatch(/<td>limb<\/td>\s*<td>0 min, 10 min, 30 min, every 1 h until 24 h/);
  for (const key of ['talk.danger.pale', 'check.failed', 'make.plaster', 'care.stays', 'call.ring'])
    expect(page).toContain(`<td>${key}</td>`);
  expect(page).toContain('Is the hand raised above the heart?');
});

test('has every pair of positions: the opposite ones as conflicts', () => {
  const pairs = page.slice(page.indexOf('Plans for two hurt places'), page.indexOf('The narrowed ones'));
  expect(pairs).toMatch(/<li>cut-flexor/);
  expect(pairs.match(/<td>X<\/td>/g)?.length).toBeGreaterThan(20);
  expect(pairs.match(/<td>n<\/td>/g)?.length).toBeGreaterThan(5);
});
