// Who is signed in: sessions of twelve hours, in memory only, so that a restart signs everybody out.
import { createHash, timingSafeEqual } from 'node:crypto';

interface Session {
  clinicianId: string;
  /** Goes along with every form, so that no other site can send one. */
  formToken: string;
  /** Real time, milliseconds. */
  endsAt: number;
}

export interface Sessions {
  /** Returns the token for the cookie. */
  start(clinicianId: string, now: number): string;
  find(token: string | null, now: number): Session | null;
  end(token: string | null): void;
}

export const SESSION_MS = 12 * 60 * 60_000;

/** Keyed by the token's hash: looking one up takes no time that depends on how much of a guess was right. */
export function openSessions(randomToken: () => string): Sessions {
  const sessions = new Map<string, Session>();
  return {
    start(clinicianId, now) {
      for (const [key, { endsAt }] of sessions) if (endsAt <= now) sessions.delete(key);
      const token = randomToken();
      sessions.set(hash(token), { clinicianId, formToken: randomToken(), endsAt: now + SESSION_MS });
      return token;
    },
    find(token, now) {
      const session = token === null ? undefined : sessions.get(hash(token));
      return session && session.endsAt > now ? session : null;
    },
    end(token) {
      if (token !== null) sessions.delete(hash(token));
    },
  };
}

const hash = (token: string): string => createHash('sha256').update(token).digest('hex');

/** Whether two tokens are the same, in a time that does not tell where they differ. */
export function sameToken(one: unknown, other: string): boolean {
  return typeof one === 'string' && timingSafeEqual(digest(one), digest(other));
}

const digest = (token: string): Buffer => createHash('sha256').update(token).digest();
