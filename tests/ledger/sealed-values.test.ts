// Sealing by itself: what goes in comes out, and nothing else ever does.
import { createSecretKey } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openKeyring } from '../../src/ledger/sealing/keyring.ts';
import { deriveKeys, newMaster, readMaster, writeMaster } from '../../src/ledger/sealing/master-key.ts';
import { prepareSealing } from '../../src/ledger/sealing/seal.ts';
import { openTexts, sealTexts } from '../../src/ledger/sealing/texts.ts';
import { A_KEY } from './builders.ts';

const bytes32 = fc.uint8Array({ minLength: 32, maxLength: 32 });
const words = fc.string({ unit: 'binary' });

describe('a sealed value', () => {
  const sealing = prepareSealing();

  test('opens with its key in its place as it was', () => {
    fc.assert(
      fc.property(bytes32, words, words, (raw, text, place) => {
        const key = createSecretKey(raw);
        // A lone half of a surrogate pair cannot be written as UTF-8; both sides lose it alike.
        const written = Buffer.from(text).toString();
        expect(sealing.open(key, sealing.seal(key, text, place), place).toString()).toBe(written);
      }),
    );
  });

  test('does not open with any bit changed, cut short, in another place, or with another key', () => {
    const key = createSecretKey(A_KEY);
    fc.assert(
      fc.property(words, fc.nat(), fc.nat(7), bytes32, (text, at, bit, other) => {
        const sealed = sealing.seal(key, text, 'texts 1 C1');
        const changed = Buffer.from(sealed);
        changed[at % sealed.length]! ^= 1 << bit;
        expect(() => sealing.open(key, changed, 'texts 1 C1')).toThrow('does not open');
        expect(() => sealing.open(key, sealed.subarray(0, at % sealed.length), 'texts 1 C1')).toThrow();
        expect(() => sealing.open(key, sealed, 'texts 2 C1')).toThrow('does not open');
        expect(() => sealing.open(createSecretKey(other), sealed, 'texts 1 C1')).toThrow('does not open');
      }),
    );
  });

  test('is never the same twice, and no nonce comes again', () => {
    const key = createSecretKey(A_KEY);
    const nonces = Array.from({ length: 3000 }, () =>
      sealing.seal(key, 'x', 'p').subarray(0, 12).toString('hex'),
    );
    expect(new Set(nonces).size).toBe(3000);
  });

  test('tells nothing of itself in the fault of opening it', () => {
    const key = createSecretKey(A_KEY);
    const sealed = sealing.seal(key, 'a secret', 'texts 1 C1');
    expect(() => sealing.open(key, sealed, 'texts 2 C1')).toThrow(
      /^what is sealed in texts 2 C1 does not open/,
    );
  });
});

describe('the keys', () => {
  test('are four different ones: master, look-up, wrapping and data', () => {
    const { lookUp, wrapping } = deriveKeys(A_KEY);
    const { data } = openKeyring(A_KEY).newKey('case_keys C1');
    const all = [A_KEY, lookUp.export(), wrapping.export(), data.key.export()].map((key) =>
      key.toString('hex'),
    );
    expect(new Set(all).size).toBe(4);
  });

  test('of two cases are not the same, and what is found by is the same for the same address only', () => {
    const keyring = openKeyring(A_KEY);
    const [one, two] = ['C1', 'C2'].map((code) => keyring.newKey(`case_keys ${code}`).data.key.export());
    expect(one?.equals(two ?? Buffer.alloc(0))).toBe(false);
    const hashes = ['sms:+12025550101', 'sms:+12025550101', 'sms:+12025550102'].map((address) =>
      keyring.hashOf(address).toString('hex'),
    );
    expect(hashes[0]).toBe(hashes[1]);
    expect(hashes[0]).not.toBe(hashes[2]);
    expect(openKeyring(newMaster()).hashOf('sms:+12025550101').toString('hex')).not.toBe(hashes[0]);
  });

  test('come back from how they are kept, in their place only, with the address', () => {
    const keyring = openKeyring(A_KEY);
    const { wrapped, data } = keyring.newKey('contact_keys 1', 'sms:+12025550101');
    const back = openKeyring(A_KEY).unwrap(wrapped, 'contact_keys 1');
    expect([back.key.equals(data.key), back.address]).toEqual([true, 'sms:+12025550101']);
    expect(() => keyring.unwrap(wrapped, 'contact_keys 2')).toThrow('does not open');
    expect(() => openKeyring(newMaster()).unwrap(wrapped, 'contact_keys 1')).toThrow('does not open');
  });

  test('pass their own check and nobody else’s', () => {
    const check = openKeyring(A_KEY).makeCheck();
    expect([openKeyring(A_KEY).passes(check), openKeyring(newMaster()).passes(check)]).toEqual([true, false]);
    expect(openKeyring(A_KEY).passes('')).toBe(false);
  });

  test('are read as they are written, in hex or base64, and nothing else is a key', () => {
    fc.assert(
      fc.property(bytes32, (raw) => {
        const master = Buffer.from(raw);
        const told = [
          writeMaster(master),
          master.toString('hex'),
          master.toString('base64url'),
          ` ${writeMaster(master)}\n`,
        ];
        expect(told.map((text) => readMaster(text)?.equals(master))).toEqual([true, true, true, true]);
      }),
    );
    const wrong = [
      '',
      'secret',
      'a'.repeat(32),
      'g'.repeat(64),
      'a'.repeat(63),
      writeMaster(Buffer.alloc(31)),
      writeMaster(Buffer.alloc(33)),
    ];
    expect(wrong.map(readMaster)).toEqual(wrong.map(() => null));
  });
});

test('the texts of a turn are one seal, and each is known by its line and contact', () => {
  const keyring = openKeyring(A_KEY);
  const { data } = keyring.newKey('case_keys C1');
  const text = fc.record({ line: fc.nat(), contact: fc.nat(), text: fc.string({ unit: 'grapheme' }) });
  fc.assert(
    fc.property(fc.array(text, { minLength: 1 }), (texts) => {
      const place = { within: texts[0]!.line, owner: 'C1' };
      const sealed = sealTexts(keyring, data, place, texts);
      expect(openTexts(keyring, data, place, sealed)).toEqual(texts);
      expect(() => openTexts(keyring, data, { ...place, within: place.within + 1 }, sealed)).toThrow(
        'does not open',
      );
      expect(() => openTexts(keyring, data, { ...place, owner: 'C2' }, sealed)).toThrow('does not open');
    }),
  );
});
