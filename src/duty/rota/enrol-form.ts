// Adding a clinician at the desk: the form, and the page that shows their sign-in once.
import { html, type Markup } from '../../wording/markup.ts';
import { frame } from '../desk.ts';
import type { SignInSecrets } from '../entry/enrolment.ts';
import type { Clinician } from '../kept.ts';
import { formToken, type RotaView, STYLE, told, zoneField } from './rota-view.ts';

export function addForm(view: RotaView, zones: readonly string[], needsFactor: boolean): Markup {
  const { reader, typed, zone } = view;
  const chosen = typed['language'] ?? reader.language;
  return html`<details ${typed['name'] === undefined ? null : { markup: 'open' }}>
    <summary>${told(reader, 'add')}</summary>
    <form method="post" action="/duty/rota/add" class="narrow">
      ${formToken(view)}
      <label for="name">${told(reader, 'name')}</label>
      <input
        id="name"
        name="name"
        required
        maxlength="60"
        autocomplete="off"
        value="${typed['name'] ?? ''}"
      />
      <label for="number">${told(reader, 'number')}</label>
      <input
        id="number"
        name="number"
        type="tel"
        required
        autocomplete="off"
        value="${typed['number'] ?? ''}"
      />
      <label for="language">${told(reader, 'language')}</label>
      <select id="language" name="language">
        ${view.languages.map(
          (language) =>
            html`<option value="${language}" ${language === chosen ? { markup: 'selected' } : null}>
              ${languageName(reader.language, language)}
            </option>`,
        )}
      </select>
      ${zoneField(reader, zones, typed['zone'] ?? zone)}
      <label for="code">${told(reader, needsFactor ? 'own-code' : 'own-code-if-any')}</label>
      <input id="code" name="code" inputmode="numeric" maxlength="9" autocomplete="one-time-code" />
      <button class="main">${told(reader, 'add')}</button>
    </form>
  </details>`;
}

const languageName = (reader: string, language: string): string =>
  new Intl.DisplayNames(reader, { type: 'language' }).of(language) ?? language;

/** Never asked for again: whoever reads it writes it down or hands it over now. */
export function enrolledPage(
  { reader, sitting }: Pick<RotaView, 'reader' | 'sitting'>,
  { id, name }: Clinician,
  { passphrase, secret, link }: SignInSecrets,
): string {
  return frame(
    reader,
    sitting,
    html`<h2><bdi>${told(reader, 'added', { name })}</bdi></h2>
      <p><strong>${told(reader, 'once')}</strong></p>
      <dl>
        <div>
          <dt>${told(reader, 'passphrase')}</dt>
          <dd><code>${passphrase}</code></dd>
        </div>
        <div>
          <dt>${told(reader, 'secret')}</dt>
          <dd><code>${secret}</code></dd>
        </div>
        <div>
          <dt>${told(reader, 'secret-link')}</dt>
          <dd><code>${link}</code></dd>
        </div>
      </dl>
      <p>${told(reader, 'hand-over')}</p>
      <p>
        <a href="/duty/rota/people/${id}">${told(reader, 'edit')}</a>
        <a href="/duty/rota">${told(reader, 'back')}</a>
      </p>`,
    STYLE,
  );
}
