// A Palmward on practice parts: the real ledger and pages, told stories by practice phone, with the cases' clock by hand.
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hashPassphrase } from '../../src/duty/entry/passphrase.ts';
import { appOf, openHouse, type House } from '../../src/main.ts';
import { wakeDue } from '../../src/mailroom/wake.ts';
import { readSettings } from '../../src/settings.ts';

/** Of the second factor, in base32: asked for on a real line, and in practice once it was used. */
export const SECRET = 'JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP';
export const PASSPHRASE = 'bado-figu-kale';
export const ADA = { id: 'c-ada', name: 'Ada Quill', number: '+12025550190', language: 'en' };
export const ELISA = { id: 'c-elisa', name: 'Elisa Prado', number: '+12025550191', language: 'es' };

export interface Practice {
  house: House;
  address: string;
  /** Texts from a practice phone; `+10` lets ten minutes go by. Gives back the code of the phone's newest case. */
  lives(phone: string, texts: readonly string[]): Promise<string>;
  close(): Promise<void>;
}

/** `realNow`: another real time, which sign-in runs on. */
export async function openPractice(env: Record<string, string> = {}, realNow = Date.now): Promise<Practice> {
  const folder = mkdtempSync(join(tmpdir(), 'palmward-handover-'));
  const read = readSettings({ DATA_DIR: folder, PORT: '0', TIME_ZONE: 'Europe/Kyiv', ...env });
  if ('faults' in read) throw new Error(read.faults.join('\n'));
  const clock = { at: Date.UTC(2026, 0, 5, 9) };
  const house = await openHouse(read.settings, true, {
    quiet: true,
    realNow,
    clock: { now: () => clock.at, realMsUntil: (at) => at - clock.at, catchUp: () => undefined },
  });
  for (const clinician of [ADA, ELISA])
    await house.ledger.enrol(clinician, await hashPassphrase(PASSPHRASE), SECRET);
  const server = createServer(appOf(house));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));

  const after = async (ms: number) => {
    const until = clock.at + ms;
    const { ledger, world } = house;
    for (let due = await ledger.nextDue(); due !== null && due <= until; due = await ledger.nextDue()) {
      clock.at = Math.max(clock.at, due);
      await wakeDue(ledger, world);
    }
    clock.at = until;
  };
  return {
    house,
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    lives: async (phone, texts) => {
      const from = `phone:${phone}`;
      for (const [at, text] of texts.entries()) {
        if (text.startsWith('+')) await after(Number(text) * 60_000);
        else await house.receive({ id: `${phone}-${at}`, address: from, text, pictures: 0 });
      }
      return (await house.ledger.contact(from))?.open.at(-1) ?? '';
    },
    close: async () => {
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await house.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

const inTexts = (story: string): string[] => story.split(', ');
const FITTED = '1 1 1 1, 4, DONE, 8';
/** A wrist: loosened once, good again, then slow, with the last check still waiting for an answer. */
export const WRIST_WATCHED = inTexts(
  `hello, 1, 6, 6, 1, 2 R, 1, ${FITTED}, +10, 2.5 2 1 1 2, +10, 1.5 1 1 1 2, +60, 4.5 1.5 1 2 2`,
);
/** A burnt hand and thumb: the most joints, and as many checks as helpers ever send. */
export const BURN_WATCHED = inTexts(
  [
    `hello, 1, 6, 6, 5, 3 4 L, 5, 2, 5, 2, ${FITTED}`,
    '+10, 3 2.5 1 1 2, +10, 4 2 1 2 3, 2, +10, 5 2 2 2 3, 1, +60, 4 2 1 2 3, 2',
    '+60, 2 1 1 1 2, +60, 2 1 1 1 2, +60, 3 2 1 1 2, +60, 1 1 1 1 2, +60, 1 1 1 1 1',
  ].join(', '),
);
