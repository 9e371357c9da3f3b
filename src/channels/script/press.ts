// Counts a refill aloud: five seconds of pressing, then until the color is back, for one hand after the other.
// What was counted goes into the field to write in. Sending it stays with the helper.
import type { Sound } from './sound.ts';

export const press = (sound: Sound): void => {
  /** Time to lay the phone down: one hand presses. *Choice*. */
  const READY_S = 3;
  const PRESS_S = 5;
  /** As long as a check takes a count for one. */
  const LONGEST_S = 60;
  const box = document.getElementById('press') as HTMLElement;
  const field = document.getElementById('text') as HTMLInputElement;
  const said = box.querySelector('p') as HTMLElement;
  const count = box.querySelector('b') as HTMLElement;
  const button = box.querySelector('button') as HTMLElement;
  const word = (name: string) => box.getAttribute(`data-${name}`) || '';
  let hands: string[] = [];
  let hand = 0;
  let began = 0;
  let timer = 0;
  let last = -1;

  const rest = (says: string): void => {
    clearInterval(timer);
    timer = 0;
    box.className = '';
    said.textContent = says;
    button.textContent = word(hand < hands.length ? (hands[hand] as string) : 'again');
  };
  const seconds = () => (performance.now() - began) / 1000 - READY_S - PRESS_S;

  /** To the half second: nobody sees it finer. Nought would say that nothing was counted. */
  const put = (): void => {
    const counted = Math.min(LONGEST_S, Math.max(0.5, Math.round(seconds() * 2) / 2));
    const told = field.value.split(/\s+/).filter(Boolean);
    // The other hand's count must not stand in the place of the hurt one's, nor of words that somebody wrote.
    while (told.length < hand) told.push('X');
    told.splice(hand, /^(\d|X$)/.test(told[hand] || '') ? 1 : 0, String(counted));
    field.value = `${told.join(' ')} `;
    count.textContent = String(counted);
    hand += 1;
    rest(word('put'));
  };

  const tick = (): void => {
    const now = Math.floor(seconds());
    if (now === last) return;
    last = now;
    const isFirst = now === 0 || now === -PRESS_S;
    const phase = now >= 0 ? 'go' : now >= -PRESS_S ? 'hold' : 'ready';
    count.textContent = String(now >= 0 ? now : now >= -PRESS_S ? -now : -now - PRESS_S);
    if (isFirst || now === -PRESS_S - READY_S) {
      said.textContent = word(phase);
      button.textContent = word(now < 0 ? 'stop' : 'back');
    }
    sound(now >= 0 ? 660 : 440, isFirst ? 600 : 80);
    if (now >= LONGEST_S) put();
  };

  button.addEventListener('click', () => {
    if (!timer) {
      if (hand >= hands.length) hand = 0;
      began = performance.now();
      last = -99;
      box.className = 'on';
      timer = window.setInterval(tick, 50);
      tick();
    } else if (seconds() < 0) {
      count.textContent = '';
      rest('');
    } else put();
  });

  /** A word that comes in between stops no count. */
  const begin = (): void => {
    const asked = document.querySelector('[data-press]');
    const now = asked ? (asked.getAttribute('data-press') as string) : '';
    if (now === hands.join(' ')) return;
    hands = now ? now.split(' ') : [];
    hand = 0;
    count.textContent = '';
    box.hidden = !now;
    rest('');
  };
  document.addEventListener('news', begin);
  begin();
};
