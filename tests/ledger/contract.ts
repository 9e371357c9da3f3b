// What every engine of the ledger must hold: one suite, run on each of them.
import { afterEach, beforeEach, describe } from 'vitest';
import type { Ledger } from '../../src/ledger/port.ts';
import { actingContract } from './contract/acting.ts';
import { chainingContract } from './contract/chaining.ts';
import { deliveringContract } from './contract/delivering.ts';
import { expiringContract } from './contract/expiring.ts';
import { forgettingContract } from './contract/forgetting.ts';
import { keepingContract } from './contract/keeping.ts';
import { readingContract } from './contract/reading.ts';
import { reportingContract } from './contract/reporting.ts';
import { rosteringContract } from './contract/rostering.ts';
import { roundTripContract } from './contract/round-trip.ts';
import { shreddingContract } from './contract/shredding.ts';
import { takingContract } from './contract/taking.ts';
import { turnsContract } from './contract/turns.ts';
import { wakingContract } from './contract/waking.ts';

export interface Opening {
  realNow?: () => number;
  onFault?: (what: string, fault: unknown) => void;
  /** As the one `serve`; otherwise as a command beside it. */
  exclusive?: boolean;
}

/** Opens ledgers on one place that is empty at the start of each test; all are closed at its end. */
export type Open = (opening?: Opening) => Promise<Ledger>;

/** An empty place for one test. */
export interface Place {
  open: Open;
  remove: () => Promise<void>;
}

export function ledgerContract(engine: string, makePlace: () => Promise<Place>): void {
  describe(`the ledger on ${engine}`, () => {
    const open = eachInItsPlace(makePlace);
    takingContract(open);
    turnsContract(open);
    actingContract(open);
    wakingContract(open);
    deliveringContract(open);
    reportingContract(open);
    shreddingContract(open);
    forgettingContract(open);
    expiringContract(open);
    readingContract(open);
    keepingContract(open);
    chainingContract(open);
    rosteringContract(open);
    roundTripContract(open);
  });
}

function eachInItsPlace(makePlace: () => Promise<Place>): Open {
  let place: Place;
  let opened: Ledger[] = [];
  beforeEach(async () => {
    place = await makePlace();
    opened = [];
  });
  afterEach(async () => {
    for (const ledger of opened) await ledger.close();
    await place.remove();
  });
  return async (opening) => {
    const ledger = await place.open(opening);
    opened.push(ledger);
    return ledger;
  };
}
