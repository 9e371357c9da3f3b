// One PostgreSQL for all test files of a run, started when the first of them asks for it: other runs do not wait for it.
import { once } from 'node:events';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import type { TestProject } from 'vitest/node';
import { makePostgres, type PostgresServer } from './server.ts';

declare module 'vitest' {
  export interface ProvidedContext {
    /** The port that says the server's address to whoever connects. */
    postgresPort: number;
  }
}

export default async function setup({ provide }: TestProject): Promise<() => Promise<void>> {
  let started: Promise<PostgresServer> | undefined;
  const answering = createServer((socket) => {
    socket.on('error', () => undefined);
    started ??= start();
    started.then(
      (server) => socket.end(server.url('')),
      (fault: unknown) => socket.end(`fault: ${String(fault)}`),
    );
  }).listen(0, '127.0.0.1');
  await once(answering, 'listening');
  provide('postgresPort', (answering.address() as AddressInfo).port);
  return async () => {
    answering.close();
    await (await started)?.remove();
  };
}

async function start(): Promise<PostgresServer> {
  const server = await makePostgres();
  await server.start();
  return server;
}
