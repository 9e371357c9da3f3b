// The web chat: one cookie is one conversation.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { drawnUnder } from '../channels/chat/drawn.ts';
import { type Chat, chatForm, chatFragment, chatManifest, chatPage } from '../channels/chat/page.ts';
import { type Watched, watchedOf } from '../channels/chat/watched.ts';
import type { KeptText } from '../duty/kept.ts';
import { fieldOf, queryOf, readForm, tokenIn } from './forms.ts';
import type { ServerParts } from './parts.ts';
import { drawnIn } from './plan-routes.ts';
import { sendSqueezed } from './squeeze.ts';
import { readerOf, sendNews, type Talk, takeText } from './talk-routes.ts';

const COOKIE = 'palmward_chat';
/** Longer than any watch: seven days of checks, and the review after. */
const COOKIE_MS = 90 * 24 * 60 * 60_000;

export function mountChat(app: Express, parts: ServerParts): void {
  const takesSeveral = (key: string | null): boolean => key !== null && parts.takesSeveral(key);

  app.get('/chat', async (request, response) => {
    const address = `chat:${session(parts, request, response)}`;
    const reader = await readerOf(parts, request, address, queryOf(request, 'lang'));
    const thread = await parts.ledger.thread(address, 0);
    await sendSqueezed(
      request,
      response,
      chatPage({ reader, nonce: nonceOf(parts), ...(await shown(address, thread)) }),
    );
  });

  app.get('/chat.webmanifest', async (request, response) => {
    const reader = await readerOf(parts, request, null, queryOf(request, 'lang'));
    response.type('application/manifest+json').send(chatManifest(reader));
  });

  app.get('/chat/lines', async (request, response) => {
    const talk = await talkOf(request, tokenIn(request, COOKIE) ?? session(parts, request, response));
    await sendNews(parts, talk, Number(queryOf(request, 'after')) || 0, request, response);
  });

  app.get('/chat/drawing', async (request, response) => {
    const address = `chat:${tokenIn(request, COOKIE) ?? ''}`;
    const drawn = await drawnIn(parts, await parts.ledger.thread(address, 0));
    if (!drawn) return void response.status(204).end();
    const reader = await readerOf(parts, request, address, null);
    await sendSqueezed(request, response, drawnUnder(reader, drawn).markup);
  });

  app.post('/chat', readForm, async (request, response) => {
    await takeText(parts, await talkOf(request, session(parts, request, response)), request, response);
  });

  async function talkOf(request: Request, token: string): Promise<Talk> {
    const address = `chat:${token}`;
    const reader = await readerOf(parts, request, address, fieldOf(request, 'language') || null);
    return {
      address,
      form: (nonce) => chatForm(reader.language, nonce),
      back: '/chat#end',
      reader,
      fragment: async (thread, after) => {
        return chatFragment({ reader, ...(await shown(address, thread)) }, after);
      },
    };
  }

  /** All that is shown of a conversation, as it stands now. */
  async function shown(
    address: string,
    thread: readonly KeptText[],
  ): Promise<Omit<Chat, 'reader' | 'nonce'>> {
    const [drawn, watched] = await Promise.all([drawnIn(parts, thread), watchedIn(parts, address, thread)]);
    const times = { now: parts.caseNow(), realMsUntil: parts.chat.realMsUntil, clockOf: clockIn(parts) };
    return { thread, takesSeveral, drawn, watched, times };
  }
}

/** Tells the texts of one conversation apart, and no more: 96 bits, so that a turn is short. */
const nonceOf = (parts: ServerParts): string => parts.randomToken().slice(0, 16);

async function watchedIn(parts: ServerParts, address: string, thread: readonly KeptText[]): Promise<Watched> {
  const codes = [...new Set(thread.flatMap(({ code }) => code ?? []))];
  const cases = await Promise.all(codes.map((code) => parts.ledger.case(code)));
  return watchedOf(cases.filter((one) => one !== null).filter(({ contact }) => contact === address));
}

/** Hours and minutes of the helpers' local time. */
function clockIn({ chat }: ServerParts): (at: number) => string {
  return (at) => new Date(at + chat.utcOffsetAt(at) * 60_000).toISOString().slice(11, 16);
}

/** The conversation's token. Somebody without one gets one at any time, so that no text is turned away for a lost cookie. */
function session(parts: ServerParts, request: Request, response: Response): string {
  const token = tokenIn(request, COOKIE) ?? parts.randomToken();
  response.cookie(COOKIE, token, {
    httpOnly: true,
    sameSite: 'lax',
    secure: parts.settings.publicUrl?.startsWith('https:') ?? false,
    maxAge: COOKIE_MS,
    path: '/chat',
  });
  return token;
}
