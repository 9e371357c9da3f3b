// A drawing on the sheet, as a picture of the page itself.
import { html, type Markup } from '../wording/markup.ts';

/** A drawing as a picture of the page itself: inside a picture nothing can run or be followed. */
export function picture(svg: string, alt: string): Markup {
  return html`<img alt="${alt}" src="data:image/svg+xml,${encodeURIComponent(svg)}" />`;
}
