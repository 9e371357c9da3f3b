// The texts of one turn under one seal, each known by its line and the contact it went to or came from.
import type { DataKey, Keyring } from './keyring.ts';

/** `contact` is the row the text belongs to: a text is as little to be moved to another number as to another case. */
export interface PlainText {
  line: number;
  contact: number;
  text: string;
}

/** Where a seal is kept and whose key it is under: the code of a case or, for texts outside of any, the contact's row. */
export interface SealPlace {
  /** The line that holds the seal. */
  within: number;
  owner: string | number;
}

export function sealTexts(keyring: Keyring, data: DataKey, place: SealPlace, texts: PlainText[]): Buffer {
  const rows = texts.map(({ line, contact, text }) => [line, contact, text]);
  return keyring.seal(JSON.stringify(rows), named(place), data);
}

/** Throws where the seal was changed or stands in another place than it was made for. */
export function openTexts(keyring: Keyring, data: DataKey, place: SealPlace, sealed: Buffer): PlainText[] {
  const rows = JSON.parse(keyring.open(sealed, named(place), data)) as [number, number, string][];
  return rows.map(([line, contact, text]) => ({ line, contact, text }));
}

function named({ within, owner }: SealPlace): string {
  return `texts ${within} ${owner}`;
}
