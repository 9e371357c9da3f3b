// The desk's first page: every open case by what it needs next, kept up to date by the desk's script, and whole without it.
import { leavingPart } from '../entry/leaving.ts';
import { frame, type Reader, say, type Signature, signed, type Sitting } from '../desk.ts';
import { restOf, totalOf, type View } from './list-view.ts';
import { type Need, NEEDS } from './needs.ts';
import { fillTimes } from './passing.ts';
import { html, type Markup } from '../../wording/markup.ts';

export interface Asked {
  /** Only what the reader holds or is rung for. */
  mine: boolean;
  /** A code that was looked for and is no case's; null where none was. */
  missing: string | null;
  /** That nobody is on call soon; null where somebody is. */
  gap: Markup | null;
}

export function listPage(
  reader: Reader,
  sitting: Sitting,
  view: View,
  asked: Asked,
  signature: Signature,
): string {
  const { missing, gap } = asked;
  const calls = view.needs.call;
  const title = `${calls > 0 ? `(${calls}) ` : ''}${say(reader, 'cases')}`;
  return frame(
    reader,
    sitting,
    html`<div class="bar">
        <h2>${say(reader, 'cases')}</h2>
        ${whose(reader, asked)}${findForm(reader)}
      </div>
      ${gap}
      ${missing === null ? null : html`<p role="alert">${say(reader, 'list.no-such', { code: missing })}</p>`}
      ${leavingPart(reader)} ${liveBar(reader)} ${list(reader, view, asked)}
      <p><small>${signed(reader, signature)}</small></p>`,
    { title, script: '/duty.js' },
  );
}

function whose(reader: Reader, { mine }: Asked): Markup {
  const link = (path: string, key: string, here: boolean) =>
    html`<a href="${path}" ${here ? html`aria-current="page"` : null}>${say(reader, key)}</a>`;
  return html`<nav class="whose" aria-label="${say(reader, 'list.whose')}">
    ${link('/duty', 'list.all', !mine)} ${link('/duty?mine=1', 'list.mine', mine)}
  </nav>`;
}

function findForm(reader: Reader): Markup {
  return html`<form role="search" action="/duty" class="find">
    <label for="code" class="unseen">${say(reader, 'list.code')}</label>
    <input
      id="code"
      name="code"
      size="6"
      maxlength="20"
      required
      autocomplete="off"
      autocapitalize="characters"
    />
    <button>${say(reader, 'list.find')}</button>
  </form>`;
}

/** How the connection is, the switch for sound, and the way to look anew without a script. */
function liveBar(reader: Reader): Markup {
  const words = (key: string) => say(reader, `list.${key}`, { time: '%' });
  return html`<div class="bar live">
    <p
      id="line"
      role="status"
      data-live="${words('live')}"
      data-lost="${words('lost')}"
      data-out="${words('out')}"
    ></p>
    <a href="/duty/sign-in" id="way-in" hidden>${say(reader, 'sign-in')}</a>
    <button id="sound" type="button" aria-pressed="false" hidden data-tap="${words('sound-tap')}">
      ${words('sound')}
    </button>
    <a id="again" href="">${say(reader, 'refresh')}</a>
  </div>`;
}

function list(reader: Reader, view: View, { mine }: Asked): Markup {
  const total = totalOf(view);
  return html`<div
    id="cases"
    data-at="${view.id}"
    data-news="${mine ? '?mine=1' : '?'}"
    data-new="${say(reader, 'list.new-call', { what: '%' })}"
    data-title="${say(reader, 'cases')}"
  >
    <p id="none" ${total > 0 ? html`hidden` : null}>${say(reader, mine ? 'list.none-mine' : 'none')}</p>
    ${NEEDS.map((need) => group(reader, view, need))}
    <p id="rest">${restOf(reader, view)}</p>
    <p id="said" class="unseen" aria-live="polite"></p>
  </div>`;
}

function group(reader: Reader, { rows, needs }: View, need: Need): Markup {
  const own = rows.filter((row) => row.need === need);
  return html`<section
    data-need="${need}"
    aria-labelledby="need-${need}"
    ${needs[need] > 0 ? null : html`hidden`}
  >
    <h3 id="need-${need}">${say(reader, `list.needs.${need}`)} (<span data-count>${needs[need]}</span>)</h3>
    <ol>
      ${own.map(({ markup }) => ({ markup: fillTimes(reader, markup) }))}
    </ol>
  </section>`;
}
