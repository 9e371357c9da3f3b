// The place where a page with a script says that its session is about to end: empty, and unseen without the script.
import { html, type Markup } from '../../wording/markup.ts';
import { type Reader, say } from '../desk.ts';
import { IDLE_MS } from './sessions.ts';

/** Opening the page was use of the session, so all of the idle time is left. */
export function leavingPart(reader: Reader): Markup {
  const words = (key: string) => say(reader, `leaving.${key}`, { time: '%' });
  return html`<div
    id="leaving"
    class="bar"
    data-left="${IDLE_MS}"
    data-idle="${words('idle')}"
    data-age="${words('age')}"
    data-title="${words('title')}"
  >
    <p aria-live="assertive"></p>
    <button type="button" hidden>${words('stay')}</button>
    <a href="/duty/sign-in" hidden>${say(reader, 'sign-in')}</a>
  </div>`;
}
