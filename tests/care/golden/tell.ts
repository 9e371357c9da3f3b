// `node tests/care/golden/tell.ts`: tells a dozen stories under the version in force, and keeps them under its name. What
// was kept under older versions stays as it is.
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { FILES, PROTOCOL } from '../../dialogue/protocol-under-test.ts';
import { CUT_FINGER, FINGERTIP, LITTLE_SORE, openBedside, watched, WRIST, type Bedside } from '../bedside.ts';
import { FOLDER, PROTOCOL_FILE, replayed, written } from './log.ts';

const GOOD = '2 1 1 1 2';

/** Each ends in the case that is kept: the last one that was opened. */
const STORIES: Record<string, () => Bedside> = {
  'a wrist with three good checks': () => good(watched(), '12 min', '15 min', '30 min'),
  'a fingertip for a day': () => good(watched(FINGERTIP), '1 h', '6 h', '1 d'),
  'a deep cut, a nurse who accepts and ends the talk': () => {
    const bedside = watched(CUT_FINGER);
    bedside.clinician('ada', '1');
    bedside.clinician('ada', 'come in today please');
    bedside.helper('we are on the bus');
    bedside.clinician('ada', 'OVER');
    return good(bedside, '20 min');
  },
  'a little sore wrist': () => good(watched(LITTLE_SORE), '12 h', '1 d'),
  'a wrist told in Spanish': () => watched(['hola', '1', '6', '6', '1', '2 D', '1'], { language: 'es' }),
  'bleeding that does not stop': () => told(openBedside(), 'hello', '1', '1', 'WORSE'),
  'a check that must be loosened, then fails': () => {
    const bedside = good(watched());
    bedside.after('12 min');
    bedside.helper('3 2 1 1 2');
    bedside.after('12 min');
    bedside.helper('4 1 1 1 2');
    bedside.after('3 min');
    return bedside;
  },
  'a helper who falls silent, and nobody who accepts': () => waited(good(watched()), '90 min'),
  'nobody on the rota': () => waited(told(openBedside({ rota: [] }), 'hello', '1', '1'), '2 h'),
  'a helper who tells the carrier to stop': () => told(good(watched()), 'STOP'),
  'answers that say nothing, a step back, and help': () =>
    told(
      openBedside(),
      'hello',
      '1',
      'what?',
      'HELP',
      '6',
      'BACK',
      '6',
      '6',
      '1',
      '2 R',
      '1',
      'PLAN',
      'SIZE',
    ),
  'a helper who has everything forgotten': () => told(good(watched()), 'FORGET', 'FORGET'),
  'a version found unsafe': () => {
    const bedside = good(watched());
    bedside.happens({ kind: 'version-withdrawn', reason: 'a number was wrong' });
    bedside.happens({ kind: 'undelivered', key: 'check.ask' });
    return waited(bedside, '30 min');
  },
  'a version found unsafe while it is asked': () => {
    const bedside = told(openBedside(), 'hello', '1', '6', '6');
    bedside.happens({ kind: 'version-withdrawn', reason: 'a number was wrong' });
    return good(told(bedside, '1', '2 R', '1'), '12 min');
  },
  'a night, local time nine hours ahead': () => good(watched(WRIST, { utcOffset: 9 * 60 }), '12 min', '10 h'),
};

function told(bedside: Bedside, ...texts: string[]): Bedside {
  bedside.answers(...texts);
  return bedside;
}

function waited(bedside: Bedside, span: string): Bedside {
  bedside.after(span);
  return bedside;
}

/** Answers the first check, and one after each span. */
function good(bedside: Bedside, ...spans: string[]): Bedside {
  bedside.helper(GOOD);
  for (const span of spans) told(waited(bedside, span), GOOD);
  return bedside;
}

const folder = new URL(`${PROTOCOL.version}/`, FOLDER);
if (existsSync(folder)) {
  console.error(`${PROTOCOL.version} has its stories already; what was kept is not told anew.`);
  process.exit(1);
}
mkdirSync(folder, { recursive: true });
writeFileSync(new URL(PROTOCOL_FILE, folder), gzipSync(JSON.stringify(FILES), { level: 9 }));
for (const [story, tell] of Object.entries(STORIES)) {
  const bedside = tell();
  const events = bedside.events(bedside.case().code).map((event) => ({ event, hash: '' }));
  const name = `${story.toLowerCase().replaceAll(/[^a-z]+/g, '-')}.json`;
  writeFileSync(new URL(name, folder), written(replayed({ story, events, becomes: null }, PROTOCOL)));
}
console.log(`${Object.keys(STORIES).length} stories under ${PROTOCOL.version}`);
