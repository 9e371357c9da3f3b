// The web chat's bytes, counted on the wire: the first load with its headers, and the bodies of each turn that the script
// makes, from the first tap over the plan to the first good check.
import { randomBytes } from 'node:crypto';
import { createServer } from 'node:http';
import { type AddressInfo, connect } from 'node:net';
import { appOf, openHouse } from '../../src/main.ts';
import { inFolder } from './child.ts';
import { settingsOf } from './posts.ts';

/** Everything that a browser fetches before somebody has tapped, the icon and what it needs to install the page too. */
const FIRST_LOAD = ['/chat', '/style.css', '/chat.js', '/chat.webmanifest?lang=LANGUAGE', '/icon.svg'];
/** Numbers as the questions print them; words and letters are the first understood for that answer, in each language. */
const TALKS: Record<string, (word: (key: string) => string) => string[]> = {
  'closed wrist': (word) => ['1', '6', '6', '1', `2 ${word('where.right')}`, '1'],
  'hanging fingertip': (word) => [
    '1',
    '6',
    '6',
    '1',
    `5 ${word('where.right')}`,
    `3 ${word('which.tip')}`,
    '6',
  ],
};
const TO_THE_SPLINT = ['1 1 1 1', '3'];
const WATCHED = ['8', '1 1 1 1 2'];

export interface ChatTurn {
  /** Bytes of the form sent and of the squeezed answer. */
  sent: number;
  answered: number;
  /** The answer before it was squeezed. */
  plain: number;
}

export interface ChatBytes {
  language: string;
  injury: string;
  /** Bodies and headers as they come; the squeezed drawing is fetched apart, once a plan. */
  firstLoad: number;
  turns: ChatTurn[];
  drawing: number;
}

export function measureChat(): Promise<ChatBytes[]> {
  return inFolder(async (folder) => {
    const house = await openHouse(settingsOf(folder), true, { quiet: true });
    const server = createServer(appOf(house));
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const { port } = server.address() as AddressInfo;
    const measured: ChatBytes[] = [];
    const { words } = house.world.protocols.current;
    for (const language of words.languages) {
      const word = (key: string) => words.list(language, `heard.${key}`)[0]!;
      for (const [injury, way] of Object.entries(TALKS)) {
        const first = words.say(language, 'pages.chat.start-text');
        const texts = [first, ...way(word), ...TO_THE_SPLINT, word('words.DONE'), ...WATCHED];
        measured.push({ language, injury, ...(await talk(port, language, texts)) });
      }
    }
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    await house.close();
    return measured;
  });
}

async function talk(
  port: number,
  language: string,
  texts: string[],
): Promise<Omit<ChatBytes, 'language' | 'injury'>> {
  const loads = FIRST_LOAD.map((path) => path.replace('LANGUAGE', language));
  const loaded = await Promise.all(
    loads.map((path) => exchange(port, requestOf(path, { 'accept-language': language }))),
  );
  const cookie = `palmward_chat=${randomBytes(18).toString('base64url')}`;
  const turns: ChatTurn[] = [];
  let after = 0;
  const nonce = randomBytes(12).toString('base64url');
  for (const [turn, text] of texts.entries()) {
    // As the script sends it: the language with the first text only.
    const form = turn === 0 ? { nonce, language, text } : { nonce: `${nonce}-${turn}`, text };
    const body = Object.entries(form)
      .map((pair) => pair.map(encodeURIComponent).join('='))
      .join('&');
    const headers = { cookie, 'x-after': String(after), 'content-type': 'application/x-www-form-urlencoded' };
    const request = requestOf('/chat', { ...headers, 'content-length': String(body.length) }, 'POST');
    const [answer, plain] = await both(port, request + body, cookie, after);
    turns.push({ sent: body.length, answered: answer, plain: plain.length });
    after = Number([...plain.matchAll(/data-line="(\d+)"/g)].at(-1)?.[1] ?? after);
  }
  const drawing = bodyOf(await exchange(port, requestOf('/chat/drawing', { cookie }))).length;
  if (drawing === 0) throw new Error(`${language}: these answers lead to no plan any more`);
  return { firstLoad: loaded.reduce((sum, { length }) => sum + length, 0), turns, drawing };
}

/** The squeezed answer's length, and what it says: asked for once more, plain. */
async function both(port: number, request: string, cookie: string, after: number): Promise<[number, string]> {
  const answer = await exchange(port, request);
  const plain = requestOf(`/chat/lines?after=${after}`, { cookie, 'accept-encoding': 'identity' });
  return [bodyOf(answer).length, bodyOf(await exchange(port, plain)).toString()];
}

function requestOf(path: string, headers: Record<string, string>, method = 'GET'): string {
  const all = { host: '127.0.0.1', 'accept-encoding': 'gzip', connection: 'close', ...headers };
  const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}\r\n`);
  return `${method} ${path} HTTP/1.1\r\n${lines.join('')}\r\n`;
}

const bodyOf = (answer: Buffer): Buffer => answer.subarray(answer.indexOf('\r\n\r\n') + 4);

/** Everything that comes back on the socket. */
function exchange(port: number, request: string): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const parts: Buffer[] = [];
    const socket = connect(port, '127.0.0.1', () => socket.write(request));
    socket
      .on('data', (part) => parts.push(part))
      .on('end', () => resolve(Buffer.concat(parts)))
      .on('error', reject);
  });
}
