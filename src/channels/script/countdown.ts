// Counts down to the next check. The words without script say the same in minutes.

export const countdown = (): void => {
  let shown: Element | null = null;
  let until = 0;
  const two = (count: number) => (count < 10 ? `0${count}` : String(count));
  const begin = (): void => {
    shown = document.querySelector('[data-ms]');
    if (shown) until = Date.now() + Number(shown.getAttribute('data-ms'));
  };
  const tick = (): void => {
    if (!shown) return;
    const left = Math.max(0, Math.ceil((until - Date.now()) / 1000));
    const hours = Math.floor(left / 3600);
    const minutes = Math.floor(left / 60) % 60;
    shown.textContent = `${hours ? `${hours}:${two(minutes)}` : minutes}:${two(left % 60)}`;
    if (left > 0) return;
    shown = null;
    document.dispatchEvent(new CustomEvent('due'));
  };
  document.addEventListener('news', begin);
  begin();
  setInterval(tick, 1000);
};
