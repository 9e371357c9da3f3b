// The one small script of the chat and phone pages: it asks for new lines and sends texts without a new page.
// The pages work without it. It is written as a function so that types and linter see it, and served as its source.

/** Milliseconds between two askings: short after a text, longer while nothing happens. */
const script = (element: HTMLElement): void => {
  const SOON = 2000;
  const LATEST = 30000;
  const part = (id: string) => document.getElementById(id) as HTMLElement;
  const field = part('text') as HTMLInputElement;
  const note = part('note');
  let wait = SOON;
  let timer = 0;
  const newest = () => Number((element.lastElementChild as HTMLElement | null)?.dataset['line'] ?? 0);
  const show = (fragment: string): void => {
    const box = document.createElement('template');
    box.innerHTML = fragment;
    const answers = box.content.querySelector<HTMLElement>('#answers');
    if (!answers) return;
    const before = newest();
    for (const line of box.content.querySelectorAll<HTMLElement>('[data-line]')) {
      if (Number(line.dataset['line']) > before) element.append(line);
    }
    part('answers').replaceWith(answers);
    for (const nonce of document.querySelectorAll<HTMLInputElement>('#say [name=nonce]')) {
      nonce.value = answers.dataset['nonce'] ?? nonce.value;
    }
    part('end').scrollIntoView({ block: 'end' });
  };
  const ask = async (how: RequestInit = {}, to = ''): Promise<boolean> => {
    try {
      const after = String(newest());
      const join = element.dataset['feed']!.includes('?') ? '&' : '?';
      const answer = await fetch(to || `${element.dataset['feed']}${join}after=${after}`, {
        ...how,
        headers: { 'x-after': after },
      });
      if (!answer.ok) throw new Error(String(answer.status));
      const fragment = answer.status === 204 ? '' : await answer.text();
      if (fragment) show(fragment);
      note.textContent = '';
      wait = fragment ? SOON : Math.min(wait * 1.5, LATEST);
      return true;
    } catch {
      note.textContent = note.dataset['offline'] ?? '';
      wait = Math.min(wait * 2, LATEST);
      return false;
    }
  };
  const poll = async (): Promise<void> => {
    clearTimeout(timer);
    if (!document.hidden) await ask();
    clearTimeout(timer);
    timer = window.setTimeout(() => void poll(), wait);
  };
  const send = async (form: HTMLFormElement, submitter: HTMLElement | null): Promise<void> => {
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form, submitter)) {
      if (typeof value === 'string') body.append(name, value);
    }
    // The nonce stays until the server has the text: sending again after a lost answer is a repeat, not a second text.
    if ((await ask({ method: 'POST', body }, form.action)) && form.contains(field)) field.value = '';
    wait = SOON;
    await poll();
  };
  document.addEventListener('submit', (event) => {
    const form = event.target as HTMLFormElement;
    if (!('live' in form.dataset)) return;
    event.preventDefault();
    void send(form, event.submitter);
  });
  document.addEventListener('visibilitychange', () => {
    wait = SOON;
    void poll();
  });
  timer = window.setTimeout(() => void poll(), wait);
};

/** The script as served. Indentation is dropped: it is all the squeezing that is worth its while. */
export const LIVE_SCRIPT = `(${script.toString()})(document.getElementById('log'));`.replace(/^\s+/gm, '');
