// What we post to the gateway, held against its published description.
// Source: Twilio's OpenAPI document, github.com/twilio/twilio-oai, spec/json/twilio_api_v2010.json (repository: MIT),
// operation CreateMessage: POST /2010-04-01/Accounts/{AccountSid}/Messages.json, a form, HTTP Basic, 201 with a message.
// The facts used here are written out below; the document itself is not needed.
import express from 'express';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { openGateway } from '../../src/channels/sms/gateway.ts';

const CreateMessage = z
  .strictObject({
    To: z.string().min(1),
    From: z.string().min(1).optional(),
    MessagingServiceSid: z
      .string()
      .length(34)
      .regex(/^MG[0-9a-fA-F]{32}$/)
      .optional(),
    Body: z.string().min(1).max(1600),
    StatusCallback: z.url(),
  })
  .refine(({ From, MessagingServiceSid }) => Boolean(From) !== Boolean(MessagingServiceSid), 'one sender');

const Request = z.object({
  method: z.literal('POST'),
  path: z.string().regex(/^\/2010-04-01\/Accounts\/AC[0-9a-fA-F]{32}\/Messages\.json$/),
  type: z.string().regex(/^application\/x-www-form-urlencoded/),
  authorization: z.string().regex(/^Basic [A-Za-z0-9+/]+=*$/),
  form: CreateMessage,
});

const SENDERS = [{ from: '+12025550199' }, { messagingServiceSid: `MG${'a'.repeat(32)}` }];
const TEXTS = ['Hold it so.', 'Тримайте так: 50% & + "ок" 👍', '٣ أصابع', 'two\nlines\r\nand three'];

test.each(SENDERS.flatMap((sender) => TEXTS.map((text) => ({ sender, text }))))(
  'what the SDK posts for $text from $sender is a CreateMessage as documented',
  async ({ sender, text }) => {
    let seen: unknown = null;
    const app = express().use(express.urlencoded({ extended: false }), (request, response) => {
      const { method, path, body } = request;
      seen = {
        method,
        path,
        type: request.get('content-type'),
        authorization: request.get('authorization'),
        form: { ...(body as object) },
      };
      response.status(201).json({ sid: `SM${'0'.repeat(32)}`, status: 'queued' });
    });
    const server = await new Promise<Server>((done) => {
      const listening = app.listen(0, '127.0.0.1', () => done(listening));
    });
    const gateway = openGateway({
      accountSid: `AC${'0'.repeat(32)}`,
      authToken: 'secret',
      sender,
      apiUrl: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
      statusUrl: 'https://palmward.example.org/sms/status',
      timeoutMs: 5000,
    });
    const outcome = await gateway.send({ to: '+380501234567', text, line: 3 });
    server.closeAllConnections();
    await new Promise((done) => server.close(done));
    expect(outcome.state).toBe('sent');
    const { form } = Request.parse(seen);
    expect(form).toMatchObject({
      To: '+380501234567',
      Body: text,
      StatusCallback: 'https://palmward.example.org/sms/status?line=3#rc=3&rp=ct,rt,5xx',
    });
  },
);
