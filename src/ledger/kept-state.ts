// How a case and its events are kept: without the address of the contact, which is kept once, sealed.
import type { Case, StoredEvent } from '../care/types.ts';

/**
 * A case as JSON, as it is kept and hashed. Without the address, so that whoever reads the file cannot find the number
 * by trying all numbers against the hash, and a case whose helper is forgotten still replays to the same hash.
 */
export function keptState(of: Case): string {
  return JSON.stringify({ ...of, contact: '' });
}

export function keptEvent(event: StoredEvent): string {
  return JSON.stringify(event.kind === 'opened' ? { ...event, contact: '' } : event);
}

/** `contact` is the address, or empty once it is forgotten. */
export function stateRead(kept: string, contact: string): Case {
  const of = JSON.parse(kept) as Case;
  of.contact = contact;
  return of;
}

export function eventRead(kept: string, contact: string): StoredEvent {
  const event = JSON.parse(kept) as StoredEvent;
  return event.kind === 'opened' ? { ...event, contact } : event;
}
