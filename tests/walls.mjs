// Holds the walls of the house: runs the boundary rules, refuses an empty reading (a green light that checked
// nothing), and greps the core for clocks and chance, which the linter's rules let through.
import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const CORE = ['clinical', 'drawing', 'dialogue', 'wording', 'shifts', 'care', 'record', 'vet'];
const FORBIDDEN =
  /\bprocess\.|\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bsetTimeout\b|\bsetInterval\b|\bfetch\(|\bcrypto\.|\bTemporal\.Now\b/;

const said = run('depcruise', ['src', '--config', '.dependency-cruiser.cjs', '--output-type', 'err-long']);
console.log(said.trim());
if (/\(0 modules/.test(said))
  fail('The boundary check read no module at all: its TypeScript support is broken.');
const impure = CORE.map((room) => join('src', room))
  .filter((room) => existsSync(room))
  .flatMap(filesOf)
  .concat('src/model.ts')
  .flatMap((file) => faultsOf(file));
if (impure.length)
  fail(`The core must know no clock, chance or network; pass it in with the event:\n${impure.join('\n')}`);

function run(tool, args) {
  try {
    return execFileSync(join('node_modules', '.bin', tool), args, { encoding: 'utf8' });
  } catch (fault) {
    return fail(`${fault.stdout}${fault.stderr}`);
  }
}

function filesOf(dir) {
  return readdirSync(dir, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts'))
    .map((entry) => join(entry.parentPath, entry.name));
}

function faultsOf(file) {
  return readFileSync(file, 'utf8')
    .split('\n')
    .flatMap((line, at) =>
      FORBIDDEN.test(line.replace(/\/\/.*|^\s*\*.*/, '')) ? [`${file}:${at + 1}: ${line.trim()}`] : [],
    );
}

function fail(why) {
  console.error(why);
  process.exit(1);
}
