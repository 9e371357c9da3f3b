// The conversation in the terminal, over plain streams.
import { PassThrough } from 'node:stream';
import { text as readAll } from 'node:stream/consumers';
import { expect, test } from 'vitest';
import { talk, type Terminal } from '../../src/channels/terminal.ts';

async function run(typed: string, change: Partial<Terminal> = {}): Promise<string> {
  const input = new PassThrough();
  const output = new PassThrough();
  const shown = readAll(output);
  input.end(typed);
  let line = 0;
  await talk({
    input,
    output,
    send: async (text) => [{ line: ++line, text: `You said ${text}` }],
    lines: async () => [],
    partsLabel: (parts) => `${parts} parts`,
    pollMs: 60_000,
    ...change,
  });
  output.end();
  return shown;
}

test('each line typed is answered in order, with the parts it would cost', async () => {
  const shown = await run(`hurt hand\n${'a'.repeat(200)}\n`);
  expect(shown).toMatch(/You said hurt hand\n {2}\[1 parts\]\n[^]*You said a{200}\n {2}\[2 parts\]\n$/);
});

test('what is said on its own account is printed too, and nothing twice', async () => {
  const all = [1, 2].map((line) => ({ line, text: `text ${line}` }));
  const shown = await run('1\n', { send: async () => all.slice(0, 1), lines: async () => all });
  expect(shown.match(/text \d/g)).toEqual(['text 1', 'text 2']);
});

test('a text that could not be kept is said, and the talk goes on', async () => {
  let tries = 0;
  const shown = await run('one\ntwo\n', {
    send: async (text) => {
      if (tries++ === 0) throw new Error('not kept');
      return [{ line: 1, text }];
    },
  });
  expect(shown).toMatch(/! not kept\n\ntwo\n/);
});
