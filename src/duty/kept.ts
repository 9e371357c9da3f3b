// What the desk knows of the ledger: the shapes of what is kept, by way of its port.
import type { Ledger } from '../ledger/port.ts';

export type Clinician = Awaited<ReturnType<Ledger['clinicians']>>[number];
export type Case = NonNullable<Awaited<ReturnType<Ledger['case']>>>;
export type KeptText = Awaited<ReturnType<Ledger['conversation']>>[number];
/** Milliseconds since 1970 on the cases' clock. */
export type Instant = Case['openedAt'];
