// Small builders of contacts, cases, decisions and messages for the ledger's tests.
import type { Case, Contact, Decision, Inbound, Outgoing, StoredEvent } from '../../src/care/types.ts';
import { nothingTold } from '../../src/dialogue/context.ts';
import { NOTHING } from '../../src/mailroom/nothing.ts';

export const NOON = Date.UTC(2026, 10, 2, 12);
/** A master key: any 32 bytes. */
export const A_KEY = Buffer.alloc(32, 'a key for tests ');
export const MINUTE = 60_000;
/** What is written down with a change of key. */
export const A_CHANGE_OF_KEY = { at: NOON, who: 'command', did: 'changed the key', about: null };

export function aContact(address: string, more: Partial<Contact> = {}): Contact {
  return { address, language: 'en', optedOut: false, open: [], confirming: null, ...more };
}

export function aCase(number: number, contact: string, more: Partial<Case> = {}): Case {
  return {
    code: `C${number}`,
    number,
    contact,
    language: 'en',
    version: 'v1',
    openedAt: NOON,
    stage: 'asking',
    asking: { value: 'side', context: nothingTold() },
    question: null,
    check: null,
    findings: null,
    plan: null,
    material: null,
    baseline: null,
    fittedAt: null,
    fitFailures: 0,
    checks: [],
    loosened: false,
    warmed: false,
    call: null,
    facts: {},
    timers: {},
    turns: 1,
    endedAs: null,
    ...more,
  };
}

/** An open call that rings for somebody. */
export function aCall(ringing: string): NonNullable<Case['call']> {
  return {
    state: 'open',
    urgency: 'now',
    reasons: ['danger.pale'],
    openedAt: NOON,
    ringing,
    tried: [],
    rounds: 0,
    acceptedBy: null,
  };
}

export function aDecision(more: Partial<Decision> = {}): Decision {
  return { ...NOTHING, ...more };
}

export function anEvent(at: number): StoredEvent {
  return { kind: 'help', at, utcOffset: 0, rota: [] };
}

export function aText(address: string, text: string, more: Partial<Outgoing> = {}): Outgoing {
  return { address, code: null, key: 'side', text, from: 'palmward', until: null, ...more };
}

export function aMessage(id: string, address: string, text: string, more: Partial<Inbound> = {}): Inbound {
  return { id, address, text, pictures: 0, at: NOON, ...more };
}
