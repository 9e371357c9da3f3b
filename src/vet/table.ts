// A table of the sign-off sheet.
import { html, type Markup } from '../wording/markup.ts';

export function table(heads: readonly string[], rows: readonly (readonly (string | number)[])[]): Markup {
  return html`<table>
    <tr>
      ${heads.map((head) => html`<th>${head}</th>`)}
    </tr>
    ${rows.map(
      (row) =>
        html`<tr>
          ${row.map((cell) => html`<td>${cell}</td>`)}
        </tr>`,
    )}
  </table>`;
}
