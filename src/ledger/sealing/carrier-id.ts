// The carrier's id of a message, as it is kept to know a repeat by.
import type { DataKey, Keyring } from './keyring.ts';

/** The SMS gateway's own ids are random and hold nothing (two letters for the kind, 32 hex digits). */
const HOLDS_NOTHING = /^[A-Z]{2}[0-9a-f]{32}$/;

/** Whether it is kept as it is, whoever it came from. */
export function holdsNothing(id: string): boolean {
  return HOLDS_NOTHING.test(id);
}

/** The ids of other wires begin with the address: those are hashed with the contact's key, and lost with it. */
export function carrierIdKept(keyring: Keyring, data: DataKey, id: string): string {
  return holdsNothing(id) ? id : keyring.hashWith(data, id);
}
