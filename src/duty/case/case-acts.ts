// What a clinician can do with a case, as plain forms: take it, pass it on, put it down, hold back, change the watch, end it.
import { html, type Markup, type Value } from '../../wording/markup.ts';
import { OUTCOMES, PACES, PAUSES } from './act-form.ts';
import { type CaseView, nameOf, work } from './case-view.ts';
import { whoHas } from '../list/needs.ts';

/** What was tried and not done: shown again with why, and with what was typed. */
export interface Tried {
  refusal: string | null;
  /** Who holds the case, where that is why. */
  heldBy: string | null;
  /** The act's name. */
  act: string;
  typed: (name: string) => string;
}

export const holdsIt = ({ telling, me }: CaseView): boolean => {
  const has = whoHas(telling.case);
  return has?.how === 'held' && has.id === me && telling.case.stage !== 'ended';
};

const isHeld = ({ telling }: CaseView): boolean => whoHas(telling.case)?.how === 'held';

/** One press: taking a case, or what stands in the way. Only buttons, so that it may be replaced while the page is open. */
export function takePart(view: CaseView): Markup | null {
  const { reader, telling } = view;
  if (telling.case.stage === 'ended') return null;
  if (!isHeld(view)) return actForm(view, 'take', null, work(reader, 'act.take'), 'main');
  return holdsIt(view)
    ? html`<p><a class="big main" href="#write">${work(reader, 'act.write-now')}</a></p>`
    : html`<p>${work(reader, 'act.held-by', { name: nameOf(view, whoHas(telling.case)?.id ?? '') })}</p>`;
}

/** The acts besides writing. Those that nobody may do now are not shown. */
export function actsPart(view: CaseView, tried: Tried | null): Markup | null {
  const { telling } = view;
  if (telling.case.stage === 'ended') return null;
  if (!isHeld(view)) return passAct(view, tried);
  if (!holdsIt(view)) return null;
  const isWatched = telling.case.stage === 'watching';
  return html`${isWatched ? watchAct(view, tried) : null} ${holdBackAct(view)} ${passAct(view, tried)}
  ${putDownAct(view)} ${endAct(view, tried)}`;
}

/** Every act is a form of its own, so that none is done by the way. What is asked once more is led to on the page that comes. */
function actForm(view: CaseView, name: string, fields: Value, button: string, look = ''): Markup {
  const { sitting, telling } = view;
  const asked = name === 'conclude' ? '#sure' : '';
  return html`<form method="post" action="/duty/cases/${telling.case.code}/act${asked}">
    <input type="hidden" name="token" value="${sitting.formToken}" />
    <input type="hidden" name="do" value="${name}" />
    ${fields}
    <button class="${look}">${button}</button>
  </form>`;
}

function folded(view: CaseView, id: string, isOpen: boolean, body: Value): Markup {
  return html`<details id="${id}" ${isOpen ? html`open` : null}>
    <summary>${work(view.reader, `act.${id}`)}</summary>
    ${body}
  </details>`;
}

function watchAct(view: CaseView, tried: Tried | null): Markup | null {
  const { reader, telling } = view;
  const isTried = tried !== null && WATCH.includes(tried.act);
  const isPaused = telling.case.timers['pause'] !== undefined;
  const pace = chooser(
    view,
    'pace',
    PACES.map((each) => [each, work(reader, `pace.${each}`)] as const),
    typed(tried, 'set-pace', 'pace') || (telling.case.watchPace ?? 'planned'),
  );
  const hours = chooser(
    view,
    'hours',
    PAUSES.map((each) => [String(each), work(reader, 'hours', { count: each })] as const),
    typed(tried, 'pause', 'hours'),
  );
  return folded(
    view,
    'watch',
    isTried,
    html`${actForm(view, 'check-now', null, work(reader, 'act.check-now'))}
    ${actForm(view, 'set-pace', html`${pace}${reasonField(view, 'pace-reason', typed(tried, 'set-pace', 'reason'))}`, work(reader, 'act.set-pace'))}
    ${
      isPaused
        ? actForm(view, 'resume', null, work(reader, 'act.resume'))
        : actForm(
            view,
            'pause',
            html`${hours}${reasonField(view, 'pause-reason', typed(tried, 'pause', 'reason'))}`,
            work(reader, 'act.pause'),
          )
    }`,
  );
}

const WATCH = ['set-pace', 'pause', 'resume', 'check-now'];

const typed = (tried: Tried | null, act: string, name: string): string =>
  tried?.act === act ? tried.typed(name) : '';

function chooser(
  { reader }: CaseView,
  name: string,
  choices: readonly (readonly [string, string])[],
  chosen: string,
): Markup {
  return html`<label for="${name}">${work(reader, `field.${name}`)}</label>
    <select id="${name}" name="${name}">
      ${choices.map(([value, words]) => html`<option value="${value}" ${value === chosen ? html`selected` : null}>${words}</option>`)}
    </select>`;
}

export function reasonField({ reader }: CaseView, id: string, given: string): Markup {
  return html`<label for="${id}">${work(reader, 'field.reason')}</label>
    <input id="${id}" name="reason" required maxlength="300" autocomplete="off" value="${given}" />`;
}

function holdBackAct(view: CaseView): Markup | null {
  const { reader } = view;
  const on = view.telling.case.holdsBack === true;
  const field = html`<input type="hidden" name="on" value="${on ? 'no' : 'yes'}" />`;
  return folded(
    view,
    'hold-back',
    false,
    html`<p>${work(reader, on ? 'act.holds-back' : 'act.speaks-freely')}</p>
      ${actForm(view, 'hold-back', field, work(reader, on ? 'act.hold-back-off' : 'act.hold-back-on'))}`,
  );
}

function passAct(view: CaseView, tried: Tried | null): Markup | null {
  const { reader, clinicians, me } = view;
  const others = clinicians.filter(({ id }) => id !== me).map(({ id, name }) => [id, name] as const);
  if (others.length === 0) return null;
  const to = chooser(view, 'to', others, typed(tried, 'pass', 'to'));
  return folded(view, 'pass', tried?.act === 'pass', actForm(view, 'pass', to, work(reader, 'act.pass-now')));
}

function putDownAct(view: CaseView): Markup {
  const { reader } = view;
  return folded(
    view,
    'put-down',
    false,
    html`<p>${work(reader, 'act.put-down-means')}</p>
      ${actForm(view, 'put-down', null, work(reader, 'act.put-down-now'))}`,
  );
}

/** Asked once more: the same form again, with the outcome that was chosen and one press to be sure. */
function endAct(view: CaseView, tried: Tried | null): Markup {
  const { reader } = view;
  const chosen = typed(tried, 'conclude', 'outcome');
  const isAsked = chosen !== '' && tried?.refusal === 'not-confirmed';
  const fields = isAsked
    ? html`<p class="loud" id="sure">
          <strong>${work(reader, 'act.sure', { how: work(reader, `ended.${chosen}`) })}</strong>
        </p>
        <input type="hidden" name="outcome" value="${chosen}" />
        <input type="hidden" name="sure" value="yes" />`
    : chooser(
        view,
        'outcome',
        OUTCOMES.map((each) => [each, work(reader, `ended.${each}`)] as const),
        chosen,
      );
  const button = work(reader, isAsked ? 'act.end-sure' : 'act.end-now');
  return folded(view, 'end', isAsked, actForm(view, 'conclude', fields, button));
}

/** What the assistant would have said, to be let out or not. Only buttons. */
export function heldPart(view: CaseView): Markup | null {
  const { reader } = view;
  const { held } = view;
  if (held.length === 0) return null;
  return html`<ul class="held">
    ${held.map(
      ({ id, texts }) =>
        html`<li>
          ${texts.map((text) => html`<p><bdi>${text}</bdi></p>`)}
          <div class="row">
            ${[true, false].map((send) =>
              actForm(
                view,
                'let-out',
                html`<input type="hidden" name="nth" value="${id}" /><input
                    type="hidden"
                    name="send"
                    value="${send ? 'yes' : 'no'}"
                  />`,
                work(reader, send ? 'act.let-out' : 'act.keep-in'),
              ),
            )}
          </div>
        </li>`,
    )}
  </ul>`;
}

export function refusalPart(view: CaseView, tried: Tried | null): Markup | null {
  const { reader } = view;
  if (!tried?.refusal || tried.refusal === 'not-confirmed') return null;
  const key = `refusal.${tried.refusal}`;
  const name = tried.heldBy === null ? '' : nameOf(view, tried.heldBy);
  const known = reader.words.has(`casework.${key}`);
  return html`<p role="alert" class="refusal">
    <strong>${work(reader, known ? key : 'refusal.other', known ? { name } : {})}</strong>
  </p>`;
}
