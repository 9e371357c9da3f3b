// Rings while the page is open, also from a tab in the background, once that was wished by a tap: for a check, or a word
// of a clinician. By sound, by touch, by the title, and by a notice of the browser where it gives one.
import type { Sound } from './sound.ts';

export const ring = (sound: Sound): void => {
  const EVERY_MS = 10000;
  const MOST = 12;
  const button = document.getElementById('ring') as HTMLElement;
  const title = document.title;
  let timer = 0;
  let left = 0;
  const isOn = () => button.getAttribute('aria-pressed') === 'true';
  const once = (): void => {
    [0, 300, 600].forEach((at) => setTimeout(() => sound(880, 200), at));
    left -= 1;
    if (left <= 0) clearInterval(timer);
  };
  const hush = (): void => {
    clearInterval(timer);
    document.title = title;
  };
  const call = (): void => {
    hush();
    left = MOST;
    document.title = `(!) ${button.getAttribute('data-rings')}`;
    timer = window.setInterval(once, EVERY_MS);
    once();
    if (!document.hidden) return;
    try {
      void new Notification(document.title, { tag: 'palmward' });
    } catch (fault) {
      // Not given, or not by a page: sound and title must do.
      void fault;
    }
  };
  button.addEventListener('click', () => {
    button.setAttribute('aria-pressed', String(!isOn()));
    if (!isOn()) return;
    sound(880, 200);
    if ('Notification' in window) void Notification.requestPermission();
  });
  /** Offered where somebody waits: for a check, or with a clinician. */
  const offer = (): void => {
    if (document.querySelector('[data-ms], [data-press], #log b')) button.hidden = false;
  };
  document.addEventListener('news', (event) => {
    offer();
    if (isOn() && (event as CustomEvent).detail) call();
  });
  ['click', 'keydown', 'visibilitychange'].forEach((seen) => document.addEventListener(seen, hush, true));
  offer();
};
