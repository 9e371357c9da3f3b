// The web chat as a page: a plain form that works with no script, and the fragment that the script asks for.
import { html, type Markup } from '../../wording/markup.ts';
import { answers, type Form, frame, lineOf, log, type Reader, say, writing } from '../page.ts';
import { optionsOf, type Spoken } from '../spoken.ts';
import { drawnLater, type DrawnPlan, drawnUnder } from './drawn.ts';
import { type Times, type Watched, watchedNow } from './watched.ts';

export interface Chat {
  reader: Reader;
  thread: readonly Spoken[];
  /** Names the next text: sent twice, it is a repeat. */
  nonce: string;
  /** Whether the question with this key takes several answers at once. */
  takesSeveral: (key: string | null) => boolean;
  /** The plan that the conversation has come to; null without one. */
  drawn: DrawnPlan | null;
  watched: Watched;
  times: Times;
}

type Foot = (reader: Reader, drawn: DrawnPlan) => Markup;

export function chatPage(chat: Chat): string {
  const { reader, thread } = chat;
  const body = html`<header>
      <h1>${say(reader, 'chat.title')}</h1>
      <p>
        <strong>${say(reader, 'chat.caution')}</strong> ${say(reader, 'chat.emergency')} ${unsigned(reader)}
      </p>
    </header>
    <main>
      ${log(
        reader,
        '/chat/lines',
        thread.map((spoken) => lineIn(chat, spoken, drawnUnder)),
      )}
      ${offered(chat)} ${counting(reader)} ${writing(reader, form(chat))} ${ringing(reader)}
      <div id="end"></div>
    </main>
    ${thread.length ? null : languages(reader)}`;
  return frame(reader, say(reader, 'chat.title'), body, '/chat.js', installable(reader));
}

/** The lines after `after` and the answers now open; null when nothing was said since. The script fetches the drawing apart. */
export function chatFragment(chat: Omit<Chat, 'nonce'>, after: number): string | null {
  const lines = chat.thread
    .filter((spoken) => spoken.line > after)
    .map((spoken) => lineIn(chat, spoken, drawnLater));
  return lines.length ? dense(html`${deleted(chat, after)}${lines}${offeredLater(chat)}`.markup) : null;
}

/** Nothing is kept of what the page shows: it was deleted, and the script takes it off the screen. */
function deleted({ thread }: Pick<Chat, 'thread'>, after: number): Markup | null {
  const isKept = after === 0 || thread.some(({ line, text }) => line <= after && text !== null);
  return isKept ? null : html`<i data-deleted></i>`;
}

/** The same for the script, which makes the answers to tap from the text that offers them: no word is sent twice. */
function offeredLater({ reader, thread, takesSeveral, watched, times }: Omit<Chat, 'nonce'>): Markup {
  const { line, key } = optionsOf(thread);
  const several = takesSeveral(key) ? html`data-several` : null;
  const offer = line === null ? null : html`data-offer="${line}" ${several}`;
  return html`<div id="answers" ${offer}>${watchedNow(reader, watched, times)}</div>`;
}

/** Texts keep their line breaks: only what stands between tags, or within one, is drawn together. */
const dense = (markup: string): string => markup.replaceAll(/>\s+</g, '><');

/** A text; under the newest one of a plan its drawing. */
function lineIn({ reader, drawn }: Pick<Chat, 'reader' | 'drawn'>, spoken: Spoken, foot: Foot): Markup {
  return lineOf(reader, spoken, drawn?.line === spoken.line ? foot(reader, drawn) : null);
}

/** Counts a refill aloud. Of use with the script only, which shows it when a count is asked for. */
function counting(reader: Reader): Markup {
  const word = (key: string) => say(reader, `chat.press.${key}`);
  return html`<div
    id="press"
    hidden
    data-hurt="${word('hurt')}"
    data-other="${word('other')}"
    data-again="${word('again')}"
    data-ready="${word('ready')}"
    data-hold="${word('hold')}"
    data-go="${word('go')}"
    data-back="${word('back')}"
    data-stop="${word('stop')}"
    data-put="${word('put')}"
  >
    <p role="status"></p>
    <b></b><button type="button" class="main"></button>
  </div>`;
}

const ringing = (reader: Reader): Markup =>
  html`<button id="ring" type="button" hidden aria-pressed="false" data-rings="${say(reader, 'chat.rings')}">
    ${say(reader, 'chat.ring')}
  </button>`;

const installable = ({ language }: Reader): Markup =>
  html`<link rel="icon" href="/icon.svg" /><link rel="apple-touch-icon" href="/icon-192.png" /><link
      rel="manifest"
      href="/chat.webmanifest?lang=${language}"
    />`;

/** What a phone asks of a page that is to stand among its programs. */
export function chatManifest(reader: Reader): string {
  const name = say(reader, 'chat.title');
  const { language, words } = reader;
  return JSON.stringify({
    name,
    short_name: 'Palmward',
    lang: language,
    dir: words.direction(language),
    id: '/chat',
    start_url: '/chat',
    scope: '/',
    display: 'standalone',
    background_color: '#ffffff',
    theme_color: '#00504a',
    icons: [
      { src: '/icon-192.png', sizes: '192x192', type: 'image/png' },
      { src: '/icon-512.png', sizes: '512x512', type: 'image/png', purpose: 'any maskable' },
      { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml' },
    ],
  });
}

export function chatForm(language: string, nonce: string): Form {
  return { action: '/chat', hidden: { nonce, language } };
}

const form = (chat: Chat): Form => chatForm(chat.reader.language, chat.nonce);

/** The advice says so until a clinician has reviewed it in this language, and a keeper has signed it. */
const unsigned = ({ words, language }: Reader): string =>
  words.approved(language) ? '' : words.say(language, 'pages.chat.unreviewed');

/** On an empty page the one thing to tap is the start; its words tell the language too. */
function offered(chat: Chat): Markup {
  const { reader, thread } = chat;
  if (!thread.length) return start(chat);
  const { options, key } = optionsOf(thread);
  const offer = { options, several: chat.takesSeveral(key), intro: null };
  return answers(reader, form(chat), offer, watchedNow(reader, chat.watched, chat.times));
}

function start({ reader, nonce }: Chat): Markup {
  const intro = say(reader, 'chat.empty');
  const option = { send: say(reader, 'chat.start-text'), says: say(reader, 'chat.start') };
  return answers(reader, chatForm(reader.language, nonce), { options: [option], several: false, intro });
}

/** The other languages, each by its own name. */
function languages(reader: Reader): Markup {
  const others = reader.words.languages.filter((language) => language !== reader.language);
  const links = others.map(
    (language) =>
      html` <a class="big" lang="${language}" hreflang="${language}" href="/chat?lang=${language}"
        >${reader.words.review(language).name}</a
      >`,
  );
  return html`<footer><nav aria-label="${say(reader, 'chat.languages')}">${links}</nav></footer>`;
}
