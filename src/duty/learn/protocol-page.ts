// The protocol at the desk: the version in force, its tree, its plans row by row, and what the last change changed.
import { drawPlan } from '../../drawing/draw-plan.ts';
import { type Say, wordsFor } from '../../drawing/words.ts';
import type { HeldJoint, Plan } from '../../model.ts';
import { freeIn } from '../../record/held.ts';
import type { Changes, PlanChange, Change } from '../../vet/changes.ts';
import type { PlannedLimb } from '../../vet/vet.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { changedTexts } from './changed-texts.ts';
import { facts, frame, type Reader, say, type Signature, signed, type Sitting, term } from '../desk.ts';

/** What the protocol's pages ask for; each is worked out when it is first asked. */
export interface ProtocolRoom {
  version: string;
  signature: Signature;
  rows: readonly string[];
  doubts: () => Promise<readonly { where: string; says: string; doubtful: string[] }[]>;
  /** An SVG drawing, with the questions in a language. */
  tree: (language: string) => Promise<string>;
  plans: () => Promise<Record<string, PlannedLimb[]>>;
  /** Null: there was no version before. */
  changes: () => Promise<Changes | null>;
}

const tell = ({ words, language }: Reader, key: string, params?: Record<string, string | number>): string =>
  words.say(language, `protocol.${key}`, params);

const injury = (reader: Reader, id: string): string => term(reader, 'plan.injury', id);

export async function protocolPage(reader: Reader, sitting: Sitting, room: ProtocolRoom): Promise<string> {
  const [tree, doubts] = await Promise.all([room.tree(reader.language), room.doubts()]);
  return frame(
    reader,
    sitting,
    html`<h2>${tell(reader, 'title')}</h2>
      ${facts([
        [tell(reader, 'version'), room.version],
        [tell(reader, 'signature'), signed(reader, room.signature)],
        [tell(reader, 'open'), String(doubts.length)],
      ])}
      <p><a href="/duty/protocol/changes">${tell(reader, 'to-changes')}</a></p>
      <h3>${tell(reader, 'plans')}</h3>
      <ul>
        ${room.rows.map((id) => html`<li><a href="/duty/protocol/${id}">${injury(reader, id)}</a></li>`)}
      </ul>
      <h3 id="tree">${tell(reader, 'tree')}</h3>
      <div class="tree" tabindex="0" role="region" aria-labelledby="tree">
        <img alt="${tell(reader, 'tree-alt')}" src="data:image/svg+xml,${encodeURIComponent(tree)}" />
      </div>
      <h3 id="doubts">${tell(reader, 'open')}</h3>
      <div class="scrolls" tabindex="0" role="region" aria-labelledby="doubts">
        ${table(
          ['where', 'says', 'rests-on'].map((key) => tell(reader, key)),
          doubts.map(({ where, says, doubtful }) => [where, says, doubtful.join(', ')]),
        )}
      </div>`,
    '/figures.css',
  );
}

export function rowPage(reader: Reader, sitting: Sitting, id: string, plans: readonly PlannedLimb[]): string {
  return frame(
    reader,
    sitting,
    html`<p><a href="/duty/protocol">${tell(reader, 'title')}</a></p>
      <h2>${injury(reader, id)}</h2>
      ${plans.length === 0 ? html`<p>${tell(reader, 'no-plans')}</p>` : null}
      <div class="cards">${plans.map((planned) => planCard(reader, planned))}</div>`,
    '/figures.css',
  );
}

function planCard(reader: Reader, { limb, plan }: PlannedLimb): Markup {
  const told: Say = (key, params) => reader.words.say(reader.language, key, params);
  const about = { ...limb, side: limb.side ?? ('right' as const) };
  return html`<section class="card">
    <h3>${namesOf(reader, plan)}</h3>
    ${{ markup: drawPlan(plan, about, wordsFor(plan, about, told)) }}
    ${facts(PARTS.map((part) => [tell(reader, `part.${part}`), partWords(reader, plan, part)] as const))}
    ${plan.position.length === 0 ? null : positions(reader, plan)}
  </section>`;
}

const namesOf = (reader: Reader, { injuries }: Plan): string =>
  injuries.map((id) => injury(reader, id)).join(', ') || tell(reader, 'nothing');

/** Told of every plan, in this order. */
const PARTS: (keyof Plan)[] = [
  'hold',
  'urgency',
  'call',
  'splints',
  'free',
  'cutDigits',
  'cautions',
  'calendar',
  'seenBy',
  'usualStay',
];

function positions(reader: Reader, { position }: Plan): Markup {
  return table(
    ['joint', 'motion', 'degrees-head', 'source'].map((key) => say(reader, key)),
    position.map((held) => [
      jointWords(reader, held),
      term(reader, 'record.direction', held.direction),
      degreesWords(reader, held),
      held.source,
    ]),
  );
}

function jointWords(reader: Reader, { joint }: HeldJoint): string {
  const [digit = '', part] = joint.split('.');
  if (part === undefined) return term(reader, 'record.joint', digit);
  if (digit === 'thumb') return term(reader, 'record.joint', `thumb-${part}`);
  return `${term(reader, 'plan.digit', digit)} ${term(reader, 'record.joint', part)}`;
}

const degreesWords = (reader: Reader, { degrees: [from, to], aim }: HeldJoint): string =>
  say(reader, 'degrees', { from, to, aim });

/** One part of a plan in words. */
function partWords(reader: Reader, plan: Plan, part: keyof Plan): string {
  const told: Say = (key, params) => reader.words.say(reader.language, key, params);
  const none = tell(reader, 'none');
  switch (part) {
    case 'hold':
      return say(reader, `holds.${plan.hold}`);
    case 'urgency':
      return say(reader, `urgencies.${plan.urgency}`);
    case 'call':
    case 'conflict':
      return tell(reader, plan[part] ? 'yes' : 'no');
    case 'injuries':
      return namesOf(reader, plan);
    case 'free':
      return freeIn(plan, told) || none;
    case 'cutDigits':
      return plan.cutDigits.map((digit) => term(reader, 'plan.digit', digit)).join(', ') || none;
    case 'cautions':
      return plan.cautions.map((id) => term(reader, 'plan.advice', id)).join(' ') || none;
    case 'splints':
      return (
        plan.splints
          .map(({ face, from, to, digits }) =>
            [
              told('record.splint', {
                face: told(`record.face-of-splint.${face}`),
                from: told(`plan.from.${from}`),
                to: told(`plan.to.${to}`),
              }),
              ...digits.map((digit) => term(reader, 'plan.digit', digit)),
            ].join(', '),
          )
          .join('; ') || none
      );
    case 'calendar':
      return plan.calendar === null ? none : tell(reader, `calendar.${plan.calendar}`);
    case 'seenBy':
      return say(reader, plan.seenBy.unlessBetter ? 'seen-unless-better' : 'seen-within', {
        hours: plan.seenBy.hours,
        source: plan.seenBy.source,
      });
    case 'usualStay':
      return plan.usualStay === null
        ? none
        : say(reader, 'weeks', {
            from: plan.usualStay.weeks[0],
            to: plan.usualStay.weeks[1],
            source: plan.usualStay.source,
          });
    case 'tolerated':
      return (
        plan.tolerated
          .map(({ digit, degrees: [from, to], source }) =>
            say(reader, 'bend', { digit: term(reader, 'plan.digit', digit), from, to, source }),
          )
          .join('; ') || none
      );
    case 'position':
      return (
        plan.position
          .map(
            (held) =>
              `${jointWords(reader, held)}: ${term(reader, 'record.direction', held.direction)} ${degreesWords(reader, held)}`,
          )
          .join('; ') || none
      );
    case 'splint':
    case 'watch':
      return none;
  }
}

/** Plan changes shown; a change of a common row comes with all that it can come with. *Choice*. */
const MOST_SHOWN = 60;

export function changesPage(reader: Reader, sitting: Sitting, changes: Changes | null): string {
  return frame(
    reader,
    sitting,
    html`<p><a href="/duty/protocol">${tell(reader, 'title')}</a></p>
      <h2>${tell(reader, 'changes')}</h2>
      ${changes ? changesPart(reader, changes) : html`<p>${tell(reader, 'no-version-before')}</p>`}`,
    '/figures.css',
  );
}

function changesPart(reader: Reader, changes: Changes): Markup {
  const { before, after, plans } = changes;
  return html`<p>${tell(reader, 'from-to', { before, after })}</p>
    <h3>${tell(reader, 'plans')} (${plans.length})</h3>
    <div class="cards">${plans.slice(0, MOST_SHOWN).map((one) => planChange(reader, one))}</div>
    ${plans.length > MOST_SHOWN ? html`<p>${tell(reader, 'more', { count: plans.length - MOST_SHOWN })}</p>` : null}
    ${(['questions', 'texts', 'decisions'] as const).map(
      (name) =>
        html`<h3 id="${name}">${tell(reader, name)} (${changes[name].length})</h3>
          ${name === 'texts' ? changedTexts(reader, changes.texts) : differences(reader, name, changes[name])}`,
    )}`;
}

function differences(reader: Reader, name: string, changes: readonly Change[]): Markup | null {
  if (changes.length === 0) return null;
  return html`<div class="scrolls" tabindex="0" role="region" aria-labelledby="${name}">
    ${table(
      ['what', 'before', 'now'].map((key) => tell(reader, key)),
      changes.map(({ name: what, before, after }) => [what, before ?? '–', after ?? '–']),
    )}
  </div>`;
}

function planChange(reader: Reader, { before, after, differs, count }: PlanChange): Markup {
  return html`<section class="card">
    <h4>${namesOf(reader, after)}</h4>
    <p>${tell(reader, 'tried', { count })}</p>
    ${table(
      ['what', 'before', 'now'].map((key) => tell(reader, key)),
      differs.map((part) => [
        tell(reader, `part.${part}`),
        partWords(reader, before, part),
        partWords(reader, after, part),
      ]),
    )}
  </section>`;
}

function table(heads: readonly string[], rows: readonly (readonly string[])[]): Markup {
  return html`<table>
    <tr>
      ${heads.map((head) => html`<th scope="col">${head}</th>`)}
    </tr>
    ${rows.map(
      ([first = '', ...rest]) =>
        html`<tr>
          <th scope="row">${first}</th>
          ${rest.map((cell) => html`<td>${cell}</td>`)}
        </tr>`,
    )}
  </table>`;
}
