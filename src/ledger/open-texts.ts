// Reads sealed texts back.
import type { Keyring } from './sealing/keyring.ts';
import { caseKeyPlace, keyPlace } from './sealing/places.ts';
import { openTexts, type PlainText } from './sealing/texts.ts';

interface SealedRow {
  line: number;
  contact: number;
  code: string | null;
  within: number | null;
  sealed: Buffer | null;
  caseKey: Buffer | null;
  contactKey: Buffer | null;
}

/** A row as it is read, `T` being what it holds in the clear. */
export type Sealed<T> = Omit<T, 'address' | 'text'> & SealedRow;
export type OpenedText<T> = Omit<T, 'address' | 'text'> & { address: string; text: string | null };

/** Rows of one turn stand together and share a seal: it is opened once. `address` is empty once forgotten. */
export function openRows<T>(keyring: Keyring, rows: Sealed<T>[]): OpenedText<T>[] {
  const opened = new Map<number, PlainText[]>();
  return rows.map((row) => {
    const { contact, within: _within, sealed: _sealed, caseKey: _caseKey, contactKey, ...clear } = row;
    const address = addressOf(keyring, contact, contactKey);
    return { ...clear, address, text: textOf(keyring, row, opened) } as unknown as OpenedText<T>;
  });
}

function textOf(keyring: Keyring, row: SealedRow, opened: Map<number, PlainText[]>): string | null {
  const { line, contact, code, within, sealed, caseKey, contactKey } = row;
  const wrapped = code === null ? contactKey : caseKey;
  if (within === null || sealed === null || wrapped === null) return null;
  const texts =
    opened.get(within) ??
    openTexts(
      keyring,
      keyring.unwrap(wrapped, code === null ? keyPlace(contact) : caseKeyPlace(code)),
      { within, owner: code ?? contact },
      sealed,
    );
  opened.set(within, texts);
  const own = texts.find((text) => text.line === line && text.contact === contact);
  if (!own) throw new Error(`text ${line} is not among those sealed in line ${within}: the row was changed`);
  return own.text;
}

/**
 * The same for a list, which must not fail by one row of many: nothing as well where the row was changed. Such a case is
 * seen by whoever looks after it, and whatever is done to it fails.
 */
export function addressInList(keyring: Keyring, contact: number, wrapped: Buffer | null): string {
  try {
    return addressOf(keyring, contact, wrapped);
  } catch {
    return '';
  }
}

/** The address of a contact's row, or nothing once it is forgotten. */
export function addressOf(keyring: Keyring, contact: number, wrapped: Buffer | null): string {
  return wrapped ? keyring.unwrap(wrapped, keyPlace(contact)).address : '';
}
