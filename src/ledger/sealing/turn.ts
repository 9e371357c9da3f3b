// The texts of one turn, sealed: one seal a key, that of the case or, outside of any, of the contact.
import type { DataKey, Keyring } from './keyring.ts';
import { type PlainText, sealTexts } from './texts.ts';

/** A text that has its line. */
export interface Placed extends PlainText {
  code: string | null;
}

export interface Seal {
  /** The line that holds the seal. */
  within: number | null;
  sealed: Buffer | null;
}

/** Of a text whose words are not kept. */
export const NO_SEAL: Seal = { within: null, sealed: null };

/** The seals by line. The first line of each key's texts holds the seal. `keyOf` is asked once a key. */
export function sealTurn<T extends Placed>(
  keyring: Keyring,
  texts: T[],
  keyOf: (first: T) => DataKey,
): Map<number, Seal> {
  const seals = new Map<number, Seal>();
  for (const [owner, own] of Map.groupBy(texts, ({ code, contact }) => code ?? contact)) {
    const [first] = own;
    if (!first) continue;
    const within = first.line;
    for (const { line } of own) seals.set(line, { within, sealed: null });
    seals.set(within, { within, sealed: sealTexts(keyring, keyOf(first), { within, owner }, own) });
  }
  return seals;
}
