// The script of one case's page: what changed appears without losing what is being typed, parts and cost as they are typed,
// phrases where the writing stands, the corrected plan's drawing as its numbers change. The pages are whole without it.
// A function, so that types and linter see it; served as its source.
import type { Stay } from '../entry/sessions.ts';
import { watchPresence, type WatchPresence } from '../presence.ts';
import { served, type TellTimes } from '../served.ts';

const script = (watchPresence: WatchPresence, tellTimes: TellTimes): void => {
  const POLL_MS = 5000;
  const TIMES_MS = 15_000;
  /** After the last sign typed. */
  const SETTLE_MS = 300;
  const part = (id: string) => document.getElementById(id);
  const { lang } = document.documentElement;
  const away = new Intl.RelativeTimeFormat(lang, { style: 'short' });
  const page = part('case');
  const note = part('stale');
  /** The cases' clock as last told, and when. */
  let clock = { now: Number(page?.dataset['now'] ?? Date.now()), at: performance.now() };
  let isOut = false;

  const tell = (words: string): void => {
    if (note && note.textContent !== words) note.textContent = words;
  };

  /** Somebody types here, or has a field in another state than it came. */
  const isTouched = (section: Element): boolean =>
    section.contains(document.activeElement) ||
    [...section.querySelectorAll('input, textarea, select')].some((field) => {
      if (field instanceof HTMLSelectElement)
        return (
          [...field.options].some((option) => option.selected !== option.defaultSelected) &&
          field.selectedIndex > 0
        );
      if (field instanceof HTMLInputElement && field.type === 'checkbox')
        return field.checked !== field.defaultChecked;
      return (field as HTMLInputElement).value !== (field as HTMLInputElement).defaultValue;
    });

  const replace = (old: Element, fresh: Element): void => {
    for (const open of old.querySelectorAll('details[open]')) {
      const same = open.id ? fresh.querySelector(`#${open.id}`) : null;
      same?.setAttribute('open', '');
    }
    const before = document.activeElement;
    const focused = old.contains(before) ? before : null;
    old.replaceWith(fresh);
    if (!focused) return;
    const all = [...fresh.querySelectorAll<HTMLElement>('a, button, summary')];
    const again = all.find((each) => each.textContent === focused.textContent);
    (again ?? fresh.querySelector<HTMLElement>('h3'))?.focus({ preventScroll: true });
  };

  const show = (markup: string): void => {
    const box = document.createElement('template');
    box.innerHTML = markup;
    let isStale = false;
    for (const fresh of box.content.querySelectorAll<HTMLElement>('section[id]')) {
      const old = part(fresh.id);
      if (!old) continue;
      const kind = 'live' in fresh.dataset ? 'live' : 'still';
      if (old.dataset[kind] === fresh.dataset[kind]) continue;
      // What is asked once more stands until it is answered.
      if (old.querySelector('#sure')) continue;
      if (kind === 'still' && isTouched(old)) isStale = true;
      else replace(old, fresh);
    }
    tell(isStale ? (note?.dataset['stale'] ?? '') : '');
  };

  let pressed = false;
  const out = (): void => {
    isOut = true;
    tell(note?.dataset['out'] ?? '');
    presence.over();
  };
  const { title } = document;
  const presence = watchPresence({
    ask: () => void ask(true),
    tell: () => void (document.title = presence.title() + title),
    out,
  });
  /** `always`: also while nobody can see the page. */
  const ask = async (always = false): Promise<void> => {
    if (!page || isOut || (document.hidden && !always) || pressed) return;
    try {
      const answer = await fetch(page.dataset['live']!);
      if (answer.status === 401) out();
      else if (answer.ok) {
        const markup = await answer.text();
        presence.hear(JSON.parse(answer.headers.get('x-stay')!) as Stay);
        clock = { now: Number(answer.headers.get('x-now') ?? Date.now()), at: performance.now() };
        // A part must not change under a finger that is already down.
        if (!pressed) show(markup);
      } else tell(note?.dataset['lost'] ?? '');
    } catch {
      tell(note?.dataset['lost'] ?? '');
    }
  };
  document.addEventListener('pointerdown', () => (pressed = true));
  for (const kind of ['pointerup', 'pointercancel'])
    document.addEventListener(kind, () => window.setTimeout(() => (pressed = false), 300));

  /** Sends the form's fields to `to` once typing rests, and puts what comes back into `into`. */
  const follow = (form: HTMLFormElement, to: string, into: string): void => {
    let waiting = 0;
    let newest = 0;
    const look = async (): Promise<void> => {
      const nth = ++newest;
      const body = new URLSearchParams();
      for (const [name, value] of new FormData(form)) if (typeof value === 'string') body.append(name, value);
      try {
        const answer = await fetch(to, { method: 'POST', body });
        const markup = await answer.text();
        if (answer.ok && nth === newest) part(into)!.innerHTML = markup;
        else if (!answer.ok) tell(note?.dataset[answer.status === 401 ? 'out' : 'lost'] ?? '');
      } catch {
        tell(note?.dataset['lost'] ?? '');
      }
    };
    form.addEventListener('input', () => {
      // Why it was refused is no longer what stands there.
      for (const old of document.querySelectorAll<HTMLElement>('[data-until-changed]')) old.hidden = true;
      clearTimeout(waiting);
      waiting = window.setTimeout(() => void look(), SETTLE_MS);
    });
  };

  const prepare = (): void => {
    for (const form of document.querySelectorAll<HTMLFormElement>('form[data-measure]')) {
      if ('ready' in form.dataset) continue;
      form.dataset['ready'] = '';
      follow(form, form.dataset['measure']!, form.dataset['into'] ?? 'cost');
      for (const button of form.querySelectorAll<HTMLElement>('[data-scriptless]')) button.hidden = true;
    }
  };

  document.addEventListener('click', (event) => {
    const button = (event.target as Element).closest<HTMLElement>('[data-phrase]');
    const field = part('text') as HTMLTextAreaElement | null;
    if (!button || !field) return;
    event.preventDefault();
    const { selectionStart: start, selectionEnd: end, value } = field;
    const before = value.slice(0, start).trimEnd();
    const after = value.slice(end).trimStart();
    const words = [before, button.dataset['phrase'] ?? ''].filter(Boolean).join(' ');
    field.value = [words, after].filter(Boolean).join(' ');
    field.focus();
    field.setSelectionRange(words.length, words.length);
    field.dispatchEvent(new Event('input', { bubbles: true }));
  });

  // One press is one act: a second one on a slow line would write twice.
  document.addEventListener('submit', (event) => {
    const form = event.target as HTMLFormElement;
    if ('sent' in form.dataset) event.preventDefault();
    form.dataset['sent'] = '';
  });
  window.addEventListener('pageshow', () => {
    for (const form of document.querySelectorAll('form')) delete form.dataset['sent'];
  });

  const tellAll = (): void => tellTimes(document, away, clock.now + (performance.now() - clock.at));

  prepare();
  window.setInterval(() => void ask().then(prepare), POLL_MS);
  window.setInterval(tellAll, TIMES_MS);
  document.addEventListener('visibilitychange', () => void ask());
};

export const CASE_SCRIPT = served(script, watchPresence.toString());
