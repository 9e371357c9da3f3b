// The form that sends a handover as texts to a facility: what will go out, to which number, and what became of it.
import { facilityTexts } from '../../record/facility-texts.ts';
import { momentOf } from '../../record/moments.ts';
import type { Telling } from '../../record/recorded.ts';
import { tellIn } from '../../record/tell.ts';
import { html, type Markup } from '../../wording/markup.ts';
import type { Sitting } from '../desk.ts';

/** Why nothing was sent: a key under `record.send`. */
export type Refusal =
  'no-number' | 'not-confirmed' | 'only-practice' | 'nobody' | 'opted-out' | 'ended' | 'stale';

export interface Sending {
  refusal: Refusal | null;
  /** What was typed before, so that a refusal does not lose it. */
  number: string;
  /** The language that the texts go out in. */
  language: string;
}

export function sendForm(sitting: Sitting, telling: Telling, sending: Sending): Markup {
  const { say: told, case: of } = telling;
  const why =
    sending.refusal && html`<p role="alert"><strong>${told(`record.send.${sending.refusal}`)}</strong></p>`;
  return html`<div class="screen">
    ${why} ${telling.history.handedOn.map((handed) => sentLine(handed, telling))}
    <p>
      ${told('record.send.print')}
      <a href="/duty/cases/${of.code}/handover.json" download="handover-${of.code}.json"
        >${told('record.send.fhir')}</a
      >
    </p>
    ${of.stage === 'ended' ? null : form(sitting, telling, sending)}
  </div>`;
}

function form({ formToken }: Sitting, telling: Telling, { number, language }: Sending): Markup {
  const { say: told, case: of } = telling;
  const texts = facilityTexts(tellIn(telling, language));
  return html`<details ${number === '' && language === telling.language ? null : { markup: 'open' }}>
    <summary>${told('record.send.title')}</summary>
    <form method="post" action="/duty/cases/${of.code}/handover">
      <input type="hidden" name="token" value="${formToken}" />
      <input type="hidden" name="language" value="${language}" />
      <p>${told('record.send.texts', { count: texts.length })}</p>
      ${texts.map((text) => html`<p class="text" lang="${language}"><bdi>${text}</bdi></p>`)}
      <p>${told('record.send.language')}: ${otherLanguages(telling, language)}</p>
      <label for="number">${told('record.send.number')}</label>
      <input id="number" name="number" type="tel" required autocomplete="off" value="${number}" />
      <label
        ><input type="checkbox" name="confirm" value="yes" required /> ${told('record.send.confirm')}</label
      >
      <button class="main">${told('record.send.send')}</button>
    </form>
  </details>`;
}

function otherLanguages({ case: of, protocol: { words } }: Telling, chosen: string): Markup[] {
  return words.languages.map((language) => {
    const { name } = words.review(language);
    return language === chosen
      ? html`<strong>${name}</strong> `
      : html`<a href="/duty/cases/${of.code}/handover?language=${language}">${name}</a> `;
  });
}

function sentLine({ at, parts }: Telling['history']['handedOn'][number], telling: Telling): Markup {
  const states = telling.handed
    .filter((text) => text.at === at)
    .map(({ state }) => telling.say(`record.send.states.${stateOf(state)}`));
  const told = [...new Set(states)].join(', ');
  return html`<p>
    ${telling.say('record.send.sent', { count: parts, time: momentOf(telling, at), states: told || '–' })}
  </p>`;
}

/** A text's way in few words: whoever sent it wants to know whether it came. */
function stateOf(state: string): string {
  const known: Record<string, string> = {
    kept: 'kept',
    sent: 'sent',
    delivered: 'delivered',
    failed: 'failed',
  };
  return known[state] ?? (state === 'dropped' ? 'failed' : 'waiting');
}
