// The plan alone on a page: the caution, the drawing, the texts. Nothing that says whose hand it is.
import { html } from '../../wording/markup.ts';
import { frame, type Reader, say } from '../page.ts';
import { drawing, type PlanToDraw } from './drawn.ts';

export interface PlanPage extends PlanToDraw {
  reader: Reader;
  /** The plan's texts, in order. */
  texts: readonly string[];
}

export function planPage(page: PlanPage): string {
  const { reader, about, texts } = page;
  const hand = say(reader, `drawing.hand.${about.side ?? 'unknown'}`);
  const title = say(reader, 'plan.title', { hand });
  const unsigned = reader.words.approved(reader.language) ? null : say(reader, 'chat.unreviewed');
  const body = html`<header>
      <h1>${title}</h1>
      <p>
        <strong>${say(reader, 'chat.caution')}</strong> ${say(reader, 'plan.person-first')} ${unsigned}
        ${say(reader, 'chat.emergency')}
      </p>
    </header>
    <main>
      ${drawing(reader, page)}
      <h2>${say(reader, 'plan.steps')}</h2>
      <div id="log">${texts.map((text) => html`<p><bdi>${text}</bdi></p>`)}</div>
    </main>`;
  return frame(reader, title, body, null);
}
