// The practice phone: texts without an account, only for numbers that nobody can have.
// oxlint-disable oxc/no-async-endpoint-handlers -- Express 5 hands a rejection on to the error middleware
import type { Express, Response } from 'express';
import { chooserPage, phoneForm, phoneFragment, phonePage } from '../channels/phone/page.ts';
import { readReserved } from '../channels/phone/reserved.ts';
import type { Reader } from '../channels/page.ts';
import { fieldOf, queryOf, readForm } from './forms.ts';
import type { ServerParts } from './parts.ts';
import { readerOf, sendNews, type Talk, takeText } from './talk-routes.ts';

export function mountPhone(app: Express, parts: ServerParts): void {
  if (!parts.settings.practicePhone) {
    app.all(['/phone', '/phone/lines'], async (request, response) => {
      const { words, language } = await readerOf(parts, request, null, null);
      response
        .status(404)
        .type('text/plain')
        .send(`${words.say(language, 'pages.phone.off')}\n`);
    });
    return;
  }
  const { pricePerPart } = parts.settings;

  app.get('/phone', async (request, response) => {
    const given = queryOf(request, 'number');
    const number = given && readReserved(given);
    const reader = await readerOf(parts, request, number && `phone:${number}`, queryOf(request, 'lang'));
    if (!number) return refuse(response, reader, given);
    const thread = await parts.ledger.thread(`phone:${number}`, 0);
    const phone = { reader, number, thread, nonce: parts.randomToken(), pricePerPart };
    response.type('html').send(phonePage(phone));
  });

  app.get('/phone/lines', async (request, response) => {
    const given = queryOf(request, 'number') ?? '';
    const reader = await readerOf(parts, request, `phone:${readReserved(given)}`, null);
    const talk = talkOf(given, reader);
    if (!talk) return refuse(response, reader, given);
    return sendNews(parts, talk, Number(queryOf(request, 'after')) || 0, request, response);
  });

  app.post('/phone', readForm, async (request, response) => {
    const given = fieldOf(request, 'number');
    const reader = await readerOf(parts, request, `phone:${readReserved(given)}`, null);
    const talk = talkOf(given, reader);
    if (!talk) return refuse(response, reader, given);
    return takeText(parts, talk, request, response);
  });

  function talkOf(given: string, reader: Reader): Talk | null {
    const number = readReserved(given);
    if (!number) return null;
    return {
      address: `phone:${number}`,
      form: (nonce) => phoneForm(number, nonce),
      back: `/phone?number=${encodeURIComponent(number)}#end`,
      reader,
      fragment: async (thread, after) => phoneFragment({ reader, number, thread, pricePerPart }, after),
    };
  }
}

/** Without a number the page only asks for one; with somebody's number it says why not. */
function refuse(response: Response, reader: Reader, given: string | null): void {
  response
    .status(given === null ? 200 : 400)
    .type('html')
    .send(chooserPage(reader, given !== null));
}
