// The list's script: rows change as cases do, a lost connection shows and heals, and a new call is told in the title, aloud
// and, where wanted, by sound. The page is whole without it. A function, so that types and linter see it; served as its source.
import type { Stay } from '../entry/sessions.ts';
import { watchPresence, type WatchPresence } from '../presence.ts';
import type { News } from './list-view.ts';
import { served, type TellTimes } from '../served.ts';

type Told = News & { stay: Stay };

const script = (list: HTMLElement, watchPresence: WatchPresence, tellTimes: TellTimes): void => {
  /** The server speaks every five seconds. */
  const SILENT_MS = 12_000;
  /** A stream that says nothing wrong may still have missed something: so often the truth is asked for. */
  const POLL_MS = 60_000;
  const AGAIN_MS = 5000;
  const SOUND = 'palmward.sound';
  const part = (id: string) => document.getElementById(id) as HTMLElement;
  const { title = '', new: newCall = '', news: query = '?' } = list.dataset;
  const line = part('line');
  const language = document.documentElement.lang;
  const away = new Intl.RelativeTimeFormat(language, { style: 'short', numeric: 'auto' });
  const name = document.title.slice(document.title.indexOf(title));
  let at = list.dataset['at'] ?? '';
  let heardAt = Date.now();
  let triedAt = 0;
  let lostAt: number | null = null;
  let isOut = false;
  let source: EventSource | null = null;
  let pressed = false;
  let waiting: News[] = [];

  const rowsIn = (inside: ParentNode) => [...inside.querySelectorAll<HTMLElement>('[data-code]')];
  const calls = () => rowsIn(list.querySelector('[data-need=call]')!);
  const codeOf = (row: Element | null | undefined) => (row as HTMLElement | null)?.dataset['code'];

  const tellTitle = (): void => {
    const count = Number(list.querySelector('[data-need=call] [data-count]')!.textContent);
    const told = isOut || lostAt !== null ? '(!) ' : count > 0 ? `(${count}) ` : '';
    document.title = presence.title() + told + name;
  };

  const tellLine = (): void => {
    const since =
      lostAt === null ? '' : new Date(lostAt).toLocaleTimeString(language, { timeStyle: 'short' });
    const words = line.dataset[isOut ? 'out' : lostAt === null ? 'live' : 'lost']!.replace('%', since);
    if (line.textContent !== words) line.textContent = words;
    line.className = isOut || lostAt !== null ? 'lost' : '';
    list.classList.toggle('old', isOut || lostAt !== null);
    part('way-in').hidden = !isOut;
    part('again').hidden = lostAt === null && !isOut;
    tellTitle();
  };

  const replaceRows = (fresh: Record<string, string>): void => {
    for (const [code, markup] of Object.entries(fresh)) {
      const box = document.createElement('template');
      box.innerHTML = markup;
      const row = box.content.querySelector('li')!;
      const before = rowsIn(list).find((each) => codeOf(each) === code);
      if (before) before.replaceWith(row);
      else list.querySelector(`[data-need=quiet] ol`)!.append(row);
    }
  };
  /** Only rows that stand elsewhere are moved, so that a reader's place is kept. */
  const arrange = ({ order, needs, rest }: NonNullable<News['list']>): boolean => {
    const rows = new Map(rowsIn(list).map((row) => [codeOf(row)!, row]));
    let isWhole = true;
    for (const section of list.querySelectorAll<HTMLElement>('[data-need]')) {
      const need = section.dataset['need'] as keyof typeof needs;
      const place = section.querySelector('ol')!;
      let next = place.firstElementChild;
      for (const code of order[need] ?? []) {
        const row = rows.get(code);
        rows.delete(code);
        if (!row) isWhole = false;
        else if (row === next) next = row.nextElementSibling;
        else place.insertBefore(row, next);
      }
      section.querySelector('[data-count]')!.textContent = String(needs[need]);
      section.hidden = needs[need] === 0;
    }
    for (const row of rows.values()) row.remove();
    part('rest').textContent = rest;
    part('none').hidden = Object.values(needs).some((count) => count > 0);
    return isWhole;
  };
  const announce = (before: Set<string | undefined>): void => {
    const fresh = calls().filter((row) => !before.has(codeOf(row)));
    if (fresh.length === 0) return;
    part('said').textContent = newCall.replace('%', fresh.map((row) => row.dataset['spoken']).join('; '));
    ring();
  };
  const show = (news: News): void => {
    at = news.id;
    if (news.list) {
      const before = new Set(calls().map(codeOf));
      const focused = codeOf(document.activeElement?.closest('[data-code]'));
      replaceRows(news.list.rows);
      if (!arrange(news.list)) at = '';
      const again = rowsIn(list).find((row) => focused !== undefined && codeOf(row) === focused);
      if (again && !again.contains(document.activeElement))
        again.querySelector('a')?.focus({ preventScroll: true });
      announce(before);
    }
    tellTimes(list, away, news.now);
  };
  const heard = (news: Told): void => {
    heardAt = Date.now();
    lostAt = null;
    presence.hear(news.stay);
    // A row must not move away under a finger that is already down.
    if (pressed) waiting.push(news);
    else show(news);
    tellLine();
  };

  const out = (): void => {
    isOut = true;
    source?.close();
    presence.over();
    tellLine();
  };
  const lost = (): void => {
    lostAt ??= Math.min(Date.now(), heardAt + SILENT_MS);
    tellLine();
  };
  const ask = async (): Promise<void> => {
    if (isOut) return;
    try {
      const answer = await fetch(`/duty/news/now${query}&after=${at}`);
      if (answer.status === 401) out();
      else if (answer.ok) heard((await answer.json()) as Told);
      else lost();
    } catch {
      lost();
    }
  };
  const listen = (): void => {
    if (isOut) return;
    triedAt = Date.now();
    source?.close();
    source = new EventSource(`/duty/news${query}&after=${at}`);
    source.addEventListener('news', ({ data }: MessageEvent<string>) => heard(JSON.parse(data) as Told));
    source.addEventListener('out', out);
    source.addEventListener('error', () => {
      lost();
      // Refused, and not only cut off: by then the answer to a plain question says why.
      if (source?.readyState === EventSource.CLOSED) void ask();
    });
  };
  const watch = (): void => {
    const now = Date.now();
    const isSilent = now - heardAt > SILENT_MS;
    if (isSilent) lost();
    if ((isSilent || source?.readyState === EventSource.CLOSED) && now - triedAt > AGAIN_MS) listen();
  };

  const presence = watchPresence({ ask: () => void ask(), tell: tellTitle, out });

  const release = (): void => {
    pressed = false;
    // After the click that ends the press.
    window.setTimeout(() => {
      if (pressed) return;
      waiting.forEach(show);
      waiting = [];
      tellTitle();
    });
  };
  list.addEventListener('pointerdown', () => (pressed = true));
  for (const kind of ['pointerup', 'pointercancel']) document.addEventListener(kind, release);

  const button = part('sound');
  let audio: AudioContext | null = null;
  const isWanted = () => button.getAttribute('aria-pressed') === 'true';
  const ring = (): void => {
    if (!isWanted() || audio?.state !== 'running') return;
    for (const [nth, pitch] of [660, 880, 660, 880].entries()) {
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      const from = audio.currentTime + nth * 0.22;
      tone.frequency.value = pitch;
      loud.gain.setValueAtTime(0.25, from);
      loud.gain.exponentialRampToValueAtTime(0.001, from + 0.2);
      tone.connect(loud).connect(audio.destination);
      tone.start(from);
      tone.stop(from + 0.21);
    }
  };
  const kept = (): boolean => {
    try {
      return localStorage.getItem(SOUND) === 'on';
    } catch {
      return false;
    }
  };
  const keep = (on: boolean): void => {
    try {
      localStorage.setItem(SOUND, on ? 'on' : 'off');
    } catch {
      // A browser that keeps nothing: the switch holds for this page.
    }
  };
  const wake = async (): Promise<void> => {
    if (!isWanted()) return;
    audio ??= new AudioContext();
    await audio.resume();
    button.title = '';
  };
  button.hidden = false;
  button.setAttribute('aria-pressed', String(kept()));
  if (isWanted()) button.title = button.dataset['tap'] ?? '';
  button.addEventListener('click', () => {
    const on = !isWanted();
    button.setAttribute('aria-pressed', String(on));
    keep(on);
    void wake().then(ring);
  });
  // A browser lets a page sound only after somebody touched it.
  for (const kind of ['pointerdown', 'keydown']) document.addEventListener(kind, () => void wake());

  document.addEventListener('visibilitychange', () => {
    if (!document.hidden) void ask();
  });
  tellLine();
  listen();
  window.setInterval(watch, 1000);
  window.setInterval(() => void ask(), POLL_MS);
};

export const LIST_SCRIPT = served(script, "document.getElementById('cases')", watchPresence.toString());
