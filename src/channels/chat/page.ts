// The web chat as a page: a plain form that works with no script, and the fragment that the script asks for.
import { html, type Markup } from '../../wording/markup.ts';
import { answers, type Form, frame, lineOf, log, type Reader, say, writing } from '../page.ts';
import { optionsOf, type Spoken } from '../spoken.ts';
import { type DrawnPlan, drawnUnder } from './drawn.ts';

export interface Chat {
  reader: Reader;
  thread: readonly Spoken[];
  /** Names the next text: sent twice, it is a repeat. */
  nonce: string;
  /** Whether the question with this key takes several answers at once. */
  takesSeveral: (key: string | null) => boolean;
  /** The plan that the conversation has come to; null without one. */
  drawn: DrawnPlan | null;
}

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
        thread.map((spoken) => lineIn(chat, spoken)),
      )}
      ${offered(chat)} ${writing(reader, form(chat))}
      <div id="end"></div>
    </main>
    ${thread.length ? null : languages(reader)}`;
  return frame(reader, say(reader, 'chat.title'), body, '/chat.js');
}

/** The lines after `after` and the answers now open; null when nothing was said since. */
export function chatFragment(chat: Chat, after: number): string | null {
  const lines = chat.thread.filter((spoken) => spoken.line > after).map((spoken) => lineIn(chat, spoken));
  return lines.length ? html`${lines}${offered(chat)}`.markup : null;
}

/** A text; under the newest one of a plan its drawing. */
function lineIn({ reader, drawn }: Chat, spoken: Spoken): Markup {
  return lineOf(reader, spoken, drawn?.line === spoken.line ? drawnUnder(reader, drawn) : null);
}

export function chatForm(language: string, nonce: string): Form {
  return { action: '/chat', hidden: { nonce, language } };
}

const form = (chat: Chat): Form => chatForm(chat.reader.language, chat.nonce);

/** The advice stays unsigned until a clinician has reviewed it in this language, and says so. */
const unsigned = ({ words, language }: Reader): string =>
  words.review(language).reviewed ? '' : words.say(language, 'pages.chat.unreviewed');

/** On an empty page the one thing to tap is the start; its words tell the language too. */
function offered(chat: Chat): Markup {
  const { reader, thread } = chat;
  if (!thread.length) return start(chat);
  const { options, key } = optionsOf(thread);
  return answers(reader, form(chat), { options, several: chat.takesSeveral(key), intro: null });
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
