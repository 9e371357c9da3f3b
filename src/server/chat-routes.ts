// The web chat: one cookie is one conversation.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Request, Response } from 'express';
import { chatForm, chatFragment, chatPage } from '../channels/chat/page.ts';
import { fieldOf, queryOf, readForm, tokenIn } from './forms.ts';
import type { ServerParts } from './parts.ts';
import { drawnIn } from './plan-routes.ts';
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
    const drawn = await drawnIn(parts, thread);
    response.type('html').send(chatPage({ reader, thread, nonce: parts.randomToken(), takesSeveral, drawn }));
  });

  app.get('/chat/lines', async (request, response) => {
    const talk = await talkOf(request, session(parts, request, response));
    await sendNews(parts, talk, Number(queryOf(request, 'after')) || 0, response);
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
      fragment: async (thread, nonce, after) => {
        const drawn = await drawnIn(parts, thread);
        return chatFragment({ reader, thread, nonce, takesSeveral, drawn }, after);
      },
    };
  }
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
