// Passphrases: what is kept of them, and that those kept in the older form still open, once more.
import { scryptSync } from 'node:crypto';
import { expect, test } from 'vitest';
import { openDoor } from '../../src/duty/entry/door.ts';
import {
  hashPassphrase,
  makePassphrase,
  renewedHash,
  verifyPassphrase,
} from '../../src/duty/entry/passphrase.ts';

const WORDS = 'bado-figu-kale';
const salt = Buffer.from('00112233445566778899aabbccddeeff', 'hex');
const OLD = `scrypt$${salt.toString('hex')}$${scryptSync(WORDS, salt, 32).toString('hex')}`;
const ADA = { id: 'ada', name: 'Ada', number: '+12025550190', language: 'en', place: 1 };

test('a passphrase is kept as argon2id, each with its own salt, and opens only itself', async () => {
  const [one, two] = [await hashPassphrase(WORDS), await hashPassphrase(WORDS)];
  expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$[\w+/]{22}\$[\w+/]{43}$/);
  expect(one).not.toBe(two);
  expect(await verifyPassphrase(WORDS, one)).toBe(true);
  expect(await verifyPassphrase(`${WORDS}x`, one)).toBe(false);
  expect(await renewedHash(WORDS, one)).toBeNull();
});

test('a passphrase that is made is five words of 80 bits, never the same', () => {
  const made = Array.from({ length: 20 }, () => makePassphrase());
  for (const one of made) expect(one).toMatch(/^[a-z]{8}(-[a-z]{8}){4}$/);
  expect(new Set(made).size).toBe(20);
});

test.each([null, '', 'x', 'scrypt$$', 'scrypt$zz$00', '$argon2id$v=19$m=1,t=0,p=0$AAAAAAAAAAA$AAAAAAAAAAA'])(
  'nothing opens a hash that is %s',
  async (hash) => {
    expect(await verifyPassphrase('', hash).catch(() => false)).toBe(false);
    expect(await verifyPassphrase(WORDS, hash).catch(() => false)).toBe(false);
  },
);

test('a hash in the older form still opens, and is renewed at that sign-in', async () => {
  const kept = new Map([['ada', OLD]]);
  const door = openDoor(
    {
      ledger: {
        clinicians: async () => [ADA],
        passphraseHash: async (id) => kept.get(id) ?? null,
        renewHash: async (id, before, hash) => void (kept.get(id) === before && kept.set(id, hash)),
        secondFactor: async () => null,
        takeStep: async () => false,
      },
      verifyPassphrase,
      renewedHash,
    },
    false,
  );
  const enter = (passphrase: string) => door.enter({ number: ADA.number, passphrase, code: '' }, 0);
  expect((await enter('wrong')).outcome).toBe('wrong');
  expect(kept.get('ada')).toBe(OLD);
  expect(await enter(WORDS)).toMatchObject({ outcome: 'in', hash: expect.stringMatching(/^\$argon2id\$/) });
  expect(kept.get('ada')).toMatch(/^\$argon2id\$/);
  expect((await enter(WORDS)).outcome).toBe('in');
});
