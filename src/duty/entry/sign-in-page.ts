// The page where a clinician signs in.
import { frame, type Reader, say } from '../desk.ts';
import { html } from '../../wording/markup.ts';

/** `token` is also in a cookie: a form from another site cannot know it. `next` is the page asked for. */
export interface SignIn {
  token: string;
  next: string;
  fault: 'wrong' | 'locked' | 'stale' | 'no-factor' | null;
  /** Whether a one-time code is asked for whatever was enrolled. */
  needsFactor: boolean;
}

export function signInPage(reader: Reader, { token, next, fault, needsFactor }: SignIn): string {
  const why = fault && html`<p role="alert"><strong>${say(reader, fault)}</strong></p>`;
  return frame(
    reader,
    null,
    html`<form method="post" action="/duty/sign-in" class="narrow">
      <h2>${say(reader, 'sign-in')}</h2>
      ${why}
      <input type="hidden" name="token" value="${token}" />
      <input type="hidden" name="next" value="${next}" />
      <label for="number">${say(reader, 'number')}</label>
      <input id="number" name="number" type="tel" required autocomplete="username" />
      <label for="passphrase">${say(reader, 'passphrase')}</label>
      <input id="passphrase" name="passphrase" type="password" required autocomplete="current-password" />
      <label for="code">${say(reader, needsFactor ? 'code' : 'code-if-any')}</label>
      <input id="code" name="code" inputmode="numeric" maxlength="9" autocomplete="one-time-code" />
      <button class="main">${say(reader, 'sign-in')}</button>
    </form>`,
  );
}

/** Where to go after signing in: only to pages of the desk. */
export const safeNext = (asked: unknown): string =>
  typeof asked === 'string' && /^\/duty(\/[A-Za-z0-9-]{1,24}){0,3}$/.test(asked) ? asked : '/duty';
