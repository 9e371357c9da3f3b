// Who is signed in: in memory only, so that a restart signs everybody out; ended by idleness, by age and by signing out.
import { createHash, timingSafeEqual } from 'node:crypto';

interface Session {
  clinicianId: string;
  /** Goes along with every form, so that no other site can send one. */
  formToken: string;
  /** What the sign-in rested on: with a new passphrase it is over. */
  hash: string;
  /** Real time, milliseconds. */
  endsAt: number;
  idleAt: number;
}

/** How long a session still lasts, in milliseconds. */
export interface Stay {
  /** Since it was last used. */
  since: number;
  left: number;
  /** Whether use makes it longer: not where it ends by its age. */
  stays: boolean;
}

export interface Sessions {
  /** Returns the token for the cookie. */
  start(clinicianId: string, hash: string, now: number): string;
  /** Each finding counts as use. */
  find(token: string | null, now: number): Session | null;
  /** The same without counting as use: a page that keeps itself up to date is not somebody who sits there. */
  peek(token: string | null, now: number): Session | null;
  end(token: string | null): void;
}

export const SESSION_MS = 12 * 60 * 60_000;
/** *Choice*: a desk left open is somebody else's in half an hour at most. */
export const IDLE_MS = 30 * 60_000;

/** Keyed by the token's hash: looking one up takes no time that depends on how much of a guess was right. */
export function openSessions(randomToken: () => string): Sessions {
  const sessions = new Map<string, Session>();
  const isOver = ({ endsAt, idleAt }: Session, now: number): boolean => endsAt <= now || idleAt <= now;
  const peek = (token: string | null, now: number): Session | null => {
    const session = token === null ? undefined : sessions.get(keyOf(token));
    return session && !isOver(session, now) ? session : null;
  };
  return {
    start(clinicianId, hash, now) {
      for (const [key, session] of sessions) if (isOver(session, now)) sessions.delete(key);
      const token = randomToken();
      const times = { endsAt: now + SESSION_MS, idleAt: now + IDLE_MS };
      sessions.set(keyOf(token), { clinicianId, hash, formToken: randomToken(), ...times });
      return token;
    },
    find(token, now) {
      const session = peek(token, now);
      if (session) session.idleAt = now + IDLE_MS;
      return session;
    },
    peek,
    end(token) {
      if (token !== null) sessions.delete(keyOf(token));
    },
  };
}

const keyOf = (token: string): string => createHash('sha256').update(token).digest('hex');

export function stayOf({ endsAt, idleAt }: Session, now: number): Stay {
  return { since: now + IDLE_MS - idleAt, left: Math.min(endsAt, idleAt) - now, stays: idleAt < endsAt };
}

/** Whether two tokens are the same, in a time that does not tell where they differ. */
export function sameToken(one: unknown, other: string): boolean {
  return typeof one === 'string' && timingSafeEqual(digest(one), digest(other));
}

const digest = (token: string): Buffer => createHash('sha256').update(token).digest();
