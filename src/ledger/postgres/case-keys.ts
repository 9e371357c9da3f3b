// The keys of a batch's cases: read with them, made with their first text, and made anew once they are shredded.
import type { DataKey, Keyring } from '../sealing/keyring.ts';
import { caseKeyPlace } from '../sealing/places.ts';

export interface CaseKeys {
  /** To be asked as texts are sealed. Throws where the key does not open. */
  of(code: string): DataKey;
  /** What is said after shredding has nothing to do with what was before. */
  renew(code: string): void;
  /** Of these cases, those that were not read. */
  unread(codes: Iterable<string>): string[];
  /** What was read after all. */
  read(rows: { code: string; wrapped: Buffer | null }[]): void;
  /** Those that were made, to be written. */
  made: ReadonlyMap<string, Buffer>;
}

export function readCaseKeys(
  keyring: Keyring,
  cases: { code: string; wrapped: Buffer | null }[],
  isKnown: (code: string) => boolean,
): CaseKeys {
  const kept = new Map(cases.flatMap(({ code, wrapped }) => (wrapped ? [[code, wrapped] as const] : [])));
  const made = new Map<string, Buffer>();
  const fresh = new Map<string, DataKey>();
  const renewed = new Set<string>();
  const make = (code: string): DataKey => {
    const { wrapped, data } = keyring.newKey(caseKeyPlace(code));
    made.set(code, wrapped);
    fresh.set(code, data);
    return data;
  };
  return {
    of: (code) => {
      const wrapped = kept.get(code);
      return fresh.get(code) ?? (wrapped ? keyring.unwrap(wrapped, caseKeyPlace(code)) : make(code));
    },
    renew: (code) => {
      kept.delete(code);
      renewed.add(code);
    },
    unread: (codes) => [...codes].filter((code) => !isKnown(code) && !renewed.has(code)),
    read: (rows) => rows.forEach(({ code, wrapped }) => wrapped && kept.set(code, wrapped)),
    made,
  };
}
