// What Palmward is measured against: checks the signature, keeps the raw message with the same durability, and thanks.
import { join } from 'node:path';
import type { AddressInfo } from 'node:net';
import Database from 'better-sqlite3';
import express from 'express';
import twilio from 'twilio';
import { PATH, PUBLIC_URL, TOKEN } from './posts.ts';

const db = new Database(join(process.argv[2]!, 'naive.db'));
db.pragma('journal_mode = WAL');
db.pragma('synchronous = FULL');
db.exec(
  'CREATE TABLE messages (sid TEXT PRIMARY KEY, sender TEXT NOT NULL, body TEXT NOT NULL, at INTEGER NOT NULL)',
);
const insert = db.prepare('INSERT INTO messages (sid, sender, body, at) VALUES (?, ?, ?, ?)');

const app = express();
app.post(PATH, express.urlencoded({ extended: false }), (request, response) => {
  const form = request.body as Record<string, string>;
  const signature = request.get('x-twilio-signature') ?? '';
  if (!twilio.validateRequest(TOKEN, signature, `${PUBLIC_URL}${PATH}`, form)) {
    response.status(403).end();
    return;
  }
  insert.run(form['MessageSid'], form['From'], form['Body'], Date.now());
  const answer = new twilio.twiml.MessagingResponse();
  answer.message(
    'Thank you. We have your message and will answer as soon as somebody is free. If it is urgent, call.',
  );
  response.type('text/xml').send(answer.toString());
});

const server = app.listen(0, '127.0.0.1', () => process.send?.((server.address() as AddressInfo).port));
