// Whether somebody sits in front of a page of the desk: what they do is told to the server, at most once a minute, and a
// session about to end is said in words. Part of the desk's scripts: they are served as the source of functions, and this
// one goes along. What the page asks by itself is no sign of anybody.
import type { Stay } from './entry/sessions.ts';

interface Presence {
  /** What the server said of the session. */
  hear: (told: Stay) => void;
  /** The session is over. */
  over: () => void;
  /** What the page's title begins with while the end is near. */
  title: () => string;
}

interface PageParts {
  /** Asks the server how long the session lasts, in whatever way the page asks it. */
  ask: () => void;
  /** The title changed. */
  tell: () => void;
  /** Somebody came back to a page whose session is over. */
  out: () => void;
}

export const watchPresence = ({ ask, tell, out }: PageParts): Presence => {
  const WARN_MS = 2 * 60_000;
  const COUNTED_MS = 60_000;
  /** Older than this, what is known is asked for again before anybody is warned: another window may have been used. */
  const FRESH_MS = 10_000;
  const AGAIN_MS = 5000;
  const { lang } = document.documentElement;
  const box = document.getElementById('leaving')!;
  const line = box.querySelector('p')!;
  const button = box.querySelector('button')!;
  const wayIn = box.querySelector('a')!;
  const token = document.querySelector<HTMLInputElement>('input[name=token]')!.value;
  let stay: Stay | null = { since: 0, left: Number(box.dataset['left']), stays: true };
  let heardAt = Date.now();
  let askedAt = 0;
  let sentAt = 0;
  let shown: 'idle' | 'age' | null = null;
  let place: string | null = null;

  const show = (kind: typeof shown, left: number): void => {
    if (kind === shown) return;
    shown = kind;
    const until = new Date(Date.now() + left).toLocaleTimeString(lang, { timeStyle: 'short' });
    line.textContent = kind === null ? '' : box.dataset[kind]!.replace('%', until);
    box.classList.toggle('near', kind !== null);
    if (box.contains(document.activeElement)) document.getElementById('main')?.focus({ preventScroll: true });
    button.hidden = kind !== 'idle';
    wayIn.hidden = kind !== 'age';
    tell();
  };
  const look = (): void => {
    const now = Date.now();
    const left = stay === null ? Infinity : stay.left - (now - heardAt);
    if (stay === null || left > WARN_MS) return show(null, 0);
    if (now - heardAt > FRESH_MS && now - askedAt > FRESH_MS) {
      askedAt = now;
      ask();
    } else show(stay.stays ? 'idle' : 'age', left);
  };
  const hear = (told: Stay): void => {
    stay = told;
    heardAt = Date.now();
    look();
  };
  const send = async (): Promise<void> => {
    sentAt = Date.now();
    try {
      const answer = await fetch('/duty/here', { method: 'POST', body: new URLSearchParams({ token }) });
      if (answer.ok) hear((await answer.json()) as Stay);
      else if (answer.status === 401) out();
    } catch {
      // No connection: the page says so by itself, and the next move tries again.
    }
  };
  const here = (): void => {
    const now = Date.now();
    // What ends by its age is not made longer by anybody.
    if (!stay?.stays || stay.since + (now - heardAt) < COUNTED_MS || now - sentAt < AGAIN_MS) return;
    void send();
  };

  document.addEventListener('keydown', ({ repeat }) => {
    // Something that lies on the keyboard is nobody.
    if (!repeat) here();
  });
  document.addEventListener('pointerdown', here);
  document.addEventListener('pointermove', ({ screenX, screenY }) => {
    // Browsers tell of a move also where the page moved under a pointer that lies still.
    const before = place;
    place = `${screenX} ${screenY}`;
    if (before !== null && before !== place) here();
  });
  // Pressed by other means than keys and pointers.
  button.addEventListener('click', here);
  window.setInterval(look, 1000);
  const over = (): void => {
    stay = null;
    look();
  };
  return { hear, over, title: () => (shown === null ? '' : `(!) ${box.dataset['title']} – `) };
};

export type WatchPresence = typeof watchPresence;
