// The scripts as served: functions, so that types and linter see them, sent as their own source. They hold to the language
// of 2015 (Chrome 51, Firefox 48, Safari 10.1); a browser that is older runs none of it, and the pages work without.
import { countdown } from './countdown.ts';
import { live } from './live.ts';
import { press } from './press.ts';
import { ring } from './ring.ts';
import { sound } from './sound.ts';

const begin = '(log => {';
const end = "})(document.getElementById('log'))";

const served = (...calls: string[]): string => squeeze(`${begin}\n${calls.join(';\n')}\n${end};\n`);

/** Comments, indentation and the gaps that types left behind: the rest is worth no tool. */
const squeeze = (source: string): string =>
  source
    .replace(/^\s*(\/\/|\/?\*).*$/gm, '')
    .replace(/^\s+/gm, '')
    .replace(/ {2,}/g, ' ');

const call = (part: { toString(): string }, ...given: string[]): string =>
  `(${part.toString()})(${given.join()})`;

export const PHONE_SCRIPT = served(call(live, 'log'));

export const CHAT_SCRIPT = served(
  `const sound=${call(sound)}`,
  call(live, 'log'),
  call(countdown),
  call(press, 'sound'),
  call(ring, 'sound'),
);
