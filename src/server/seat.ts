// Who sits at the desk while a request is answered, and what every room of the desk is mounted with.
import type { Request, Response } from 'express';
import type { Reader, Sitting } from '../duty/desk.ts';
import type { Stay } from '../duty/entry/sessions.ts';

export interface Seat {
  /** The clinician's id. */
  id: string;
  reader: Reader;
  sitting: Sitting;
  stay: Stay;
}

/** Who sits there, without counting as use of the session; null: nobody. */
export type Peeked = (request: Request) => Promise<Seat | null>;

/** Whoever is not signed in is shown the way in, and null comes back. */
export type Seated = (request: Request, response: Response) => Promise<Seat | null>;
