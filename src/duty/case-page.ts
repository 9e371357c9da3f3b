// One case at the desk: what was said, what was found, the plan, the checks.
import { foundIn, limb, summary } from './case-list.ts';
import { facts, frame, type Reader, say, type Sitting, term, when } from './desk.ts';
import type { Case, KeptText } from './kept.ts';
import { html, type Markup } from '../wording/markup.ts';
import { planCard } from './plan-card.ts';

export interface Opened {
  case: Case;
  conversation: readonly KeptText[];
  /** How many events are kept of it. */
  events: number;
}

export function casePage(reader: Reader, sitting: Sitting, opened: Opened): string {
  const one = opened.case;
  return frame(
    reader,
    sitting,
    html`<p><a href="/duty">${say(reader, 'back')}</a></p>
      <h2>${say(reader, 'case', { code: one.code })} ${limb(reader, one)}</h2>
      ${facts(summary(reader, one))}
      <p><a href="/duty/cases/${one.code}/handover">${say(reader, 'handover')}</a></p>
      <div class="cards">
        ${section(say(reader, 'plan'), planCard(reader, one), 'card wide')}
        ${section(say(reader, 'findings'), findings(reader, one))}
        ${section(say(reader, 'checks'), checks(reader, one))}
        ${section(say(reader, 'conversation'), conversation(reader, opened), 'card wide')}
      </div>
      <p>
        ${say(reader, 'events', { count: opened.events })}. ${say(reader, 'version')}:
        <code>${one.version}</code>
      </p>`,
  );
}

export function noSuchCase(reader: Reader, sitting: Sitting): string {
  return frame(
    reader,
    sitting,
    html`<p>${say(reader, 'gone')}</p>
      <p><a href="/duty">${say(reader, 'back')}</a></p>`,
  );
}

const section = (title: string, body: Markup, look = 'card'): Markup =>
  html`<section class="${look}">
    <h3>${title}</h3>
    ${body}
  </section>`;

/** The findings field by field, in the protocol's own terms; what is absent is not known. */
function findings(reader: Reader, one: Case): Markup {
  const { sites, ...limbWide } = foundIn(one);
  return html`${facts(fields(limbWide))}
  ${sites.map(
    ({ region, ...site }) =>
      html`<h4>${term(reader, 'plan.place', region)}</h4>
        ${facts(fields(site))}`,
  )}`;
}

const fields = (record: object): [string, string][] =>
  Object.entries(record)
    .filter(([, value]) => value !== undefined && String(value) !== '')
    .map(([name, value]) => [name, Array.isArray(value) ? value.join(', ') : String(value)]);

function checks(reader: Reader, one: Case): Markup {
  if (!one.checks.length) return html`<p>${say(reader, 'no-checks')}</p>`;
  return html`<ul>
    ${one.checks.toReversed().map(
      ({ at, told, verdict }) =>
        html`<li>
          <strong>${say(reader, `outcomes.${verdict.outcome}`)}</strong>, ${when(reader, at)}:
          ${fields(told)
            .map(([name, value]) => `${name} ${value}`)
            .join(', ')}
        </li>`,
    )}
  </ul>`;
}

function conversation(reader: Reader, { case: one, conversation: texts }: Opened): Markup {
  const lines = texts.map((kept) => {
    const text = kept.text ?? reader.words.say(reader.language, 'pages.talk.deleted');
    return html`<p class="${kept.direction}">
      <small>${who(reader, one, kept)}, ${when(reader, kept.at)}</small><bdi>${text}</bdi>
    </p>`;
  });
  return html`<div id="log">${lines}</div>`;
}

function who(reader: Reader, one: Case, { address, direction, key }: KeptText): string {
  if (direction === 'out' && key === 'handover') return say(reader, 'to-facility');
  const helper = address === one.contact;
  if (direction === 'in') return say(reader, helper ? 'helper' : 'clinician');
  return say(reader, helper ? 'to-helper' : 'to-clinician');
}
