// Words to the helper: written by hand or put together from phrases of the protocol, with their parts and cost, and a mark
// where the helper's language is another.
import { foldForSms } from '../../wording/fold.ts';
import { writtenKey } from '../../wording/languages.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { measure } from '../../wording/parts.ts';
import { type CaseView, work } from './case-view.ts';
import { languageName } from './case-now.ts';

/** Texts of the catalogue that make sense alone: none asks, promises a time, or has a gap to fill. */
export const PHRASES = [
  'plan.no-force',
  'plan.no-testing',
  'plan.straps',
  'talk.worse-wound',
  'check.failed',
  'talk.danger.bleeding',
  'talk.told.cut',
  'plan.advice.ring-off-or-cut',
  'plan.urgency.now',
  'plan.urgency.today',
  'plan.urgency.tomorrow',
  'care.tips',
  'care.tips-level',
  'care.move',
  'care.move-cut',
  'care.painkiller',
  'care.not-seen',
];

/** The longest text that is passed on, in SMS units. */
export const LONGEST_WORDS = 300;

export const unitsOf = (text: string): number => measure(foldForSms(text)).units;

export interface Writing {
  text: string;
  /** In no currency. */
  pricePerPart: number;
}

export function writeForm(view: CaseView, writing: Writing): Markup {
  const { reader, sitting, telling } = view;
  const { code } = telling.case;
  return html`<form
    id="writing"
    method="post"
    action="/duty/cases/${code}/act"
    data-measure="/duty/cases/${code}/measure"
  >
    <input type="hidden" name="token" value="${sitting.formToken}" />
    <input type="hidden" name="do" value="write" />
    ${otherLanguage(view)}
    <label for="text">${work(reader, 'write.label')}</label>
    <textarea id="text" name="text" rows="4" maxlength="900" aria-describedby="cost">
${writing.text}</textarea>
    <p id="cost" aria-live="polite">${costOf(view, writing)}</p>
    <div class="row">
      <button class="main">${work(reader, 'write.send')}</button>
      <button name="look" value="yes" data-scriptless="">${work(reader, 'write.look')}</button>
    </div>
    ${phrases(view)}
  </form>`;
}

/** What it comes to as it goes out, with the name in front. */
export function costOf(view: CaseView, { text, pricePerPart }: Writing): Markup {
  const { reader } = view;
  if (text.trim() === '') return html`${work(reader, 'write.empty')}`;
  const { parts, characters, units } = measure(foldForSms(sentAs(view, text.trim())));
  const count = { count: parts, characters, cost: (parts * pricePerPart).toFixed(2) };
  const isLong = unitsOf(text.trim()) > LONGEST_WORDS;
  const told = html`${work(reader, 'write.cost', count)}`;
  return isLong
    ? html`<strong class="loud"
          >${work(reader, 'write.too-long', { units: String(units), most: LONGEST_WORDS })}</strong
        >
        ${told}`
    : told;
}

/** As the helper gets it. */
function sentAs({ telling, sitting }: CaseView, text: string): string {
  const { words } = telling.protocol;
  const filled = { name: sitting.name, text };
  const key = writtenKey(telling.language, telling.case.language);
  return words.say(telling.case.language, key, filled);
}

/** Both are told that nothing is translated: the clinician here, the helper in the text itself. */
function otherLanguage(view: CaseView): Markup | null {
  const { reader, telling } = view;
  if (telling.case.language === telling.language) return null;
  const language = languageName(reader, telling.case.language);
  return html`<p class="mark"><strong>${work(reader, 'write.not-translated', { language })}</strong></p>`;
}

function phrases(view: CaseView): Markup {
  const { reader, telling } = view;
  const { words } = telling.protocol;
  const { language } = telling.case;
  const known = PHRASES.filter((key) => words.has(key));
  return html`<details id="phrases">
    <summary>${work(reader, 'write.phrases')}</summary>
    <ul class="phrases">
      ${known.map((key) => {
        const theirs = words.say(language, key);
        const mine = language === telling.language ? null : telling.say(key);
        return html`<li>
          <button name="insert" value="${key}" data-phrase="${theirs}">
            ${mine === null ? null : html`<span>${mine}</span>`}<span lang="${language}">${theirs}</span>
          </button>
        </li>`;
      })}
    </ul>
  </details>`;
}

/** The typed text with a phrase after it, in the helper's language. */
export function withPhrase({ telling }: CaseView, text: string, key: string): string {
  const { words } = telling.protocol;
  if (!PHRASES.includes(key) || !words.has(key)) return text;
  return [text.trimEnd(), words.say(telling.case.language, key)].filter(Boolean).join(' ');
}
