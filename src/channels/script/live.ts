// Asks for new lines and sends texts without a new page. Written for browsers of 2016: no word of the language or of the
// page's own library that came later (`served.ts`).

/** Tells the other parts of the script by two events: `news` (`detail`: nobody here asked for it), and hears `due`. */
export const live = (log: HTMLElement): void => {
  /** Milliseconds between two askings: short after a text, longer while nothing happens. */
  const SOON = 2000;
  const LATEST = 30000;
  const part = (id: string) => document.getElementById(id) as HTMLElement;
  const attribute = (element: Element, name: string) => element.getAttribute(name) || '';
  const list = (within: ParentNode, selector: string) => Array.from(within.querySelectorAll(selector));
  const remove = (one: Element) => void (one.parentNode && one.parentNode.removeChild(one));
  const field = part('text') as HTMLInputElement;
  const note = part('note');
  const nonce = document.querySelector('#say [name=nonce]') as HTMLInputElement;
  const first = nonce.value;
  const feed = attribute(log, 'data-feed');
  let wait = SOON;
  let timer = 0;
  let count = 0;
  let tapped: HTMLButtonElement | null = null;
  /** The answer to what was sent here is longer than what came of it. */
  let isOwed = false;
  /** What the note says until something is sent again. */
  let standing = '';

  const newest = () => (log.lastElementChild ? Number(attribute(log.lastElementChild, 'data-line')) : 0);

  /** Names the next text anew, once the server is known to have the one before: sent again until then, it is a repeat. */
  const renew = (): void => {
    count += 1;
    nonce.value = `${first}-${count}`;
  };

  /** Tried again with the next answer where it did not come. */
  const draw = (): void =>
    list(log, '[data-drawing]:not([data-asked])').forEach((place) => {
      // A second asking while the first is on its way would cost it twice.
      place.setAttribute('data-asked', '');
      const again = () => place.removeAttribute('data-asked');
      fetch('/chat/drawing', { credentials: 'same-origin' })
        .then((answer) => (answer.ok ? answer.text() : ''))
        .then((drawing) => {
          if (!drawing || !place.parentNode) return again();
          // One drawing, the newest: links and pictures in the log are ours alone.
          list(log, 'svg, a').forEach(remove);
          place.insertAdjacentHTML('beforebegin', drawing);
          remove(place);
        }, again);
    });

  /** The answers to tap, out of the text that offers them: as the page without script has them. */
  const offer = (answers: Element): void => {
    const text = log.querySelector(`[data-line="${attribute(answers, 'data-offer')}"] bdi`);
    if (!text) return;
    const isSeveral = answers.hasAttribute('data-several');
    const form = document.createElement('form');
    const add = (within: Element, name: string, given: Record<string, string>): Element => {
      const element = document.createElement(name);
      Object.keys(given).forEach((key) => element.setAttribute(key, given[key] as string));
      return within.appendChild(element);
    };
    form.setAttribute('data-live', '');
    form.action = (part('say') as HTMLFormElement).action;
    ((text.textContent || '').match(/^\s*\d{1,2}[.)]?\s+\S.*$/gm) || []).forEach((line) => {
      const value = String(parseInt(line, 10));
      const given = { name: 'text', value, class: 'big' };
      const choice = add(form, isSeveral ? 'label' : 'button', isSeveral ? { class: 'big' } : given);
      if (isSeveral) add(choice, 'input', { type: 'checkbox', name: 'text', value });
      add(choice, 'bdi', {}).textContent = ` ${line.trim().replace(/^(\d+)[.)]?\s+/, '$1 ')}`;
    });
    if (isSeveral) add(form, 'button', { class: 'main' }).textContent = attribute(note, 'data-all');
    answers.appendChild(form);
  };

  const show = (fragment: string, unasked: boolean): void => {
    const box = document.createElement('template');
    box.innerHTML = fragment;
    const answers = box.content.querySelector('#answers');
    if (!answers) return;
    const before = newest();
    if (box.content.querySelector('[data-deleted]')) log.textContent = '';
    const isOurs = box.content.querySelector('.in') !== null;
    list(box.content, '[data-line]').forEach((line) => {
      if (Number(attribute(line, 'data-line')) > before) log.appendChild(line);
    });
    offer(answers);
    const old = part('answers');
    (old.parentNode as Node).replaceChild(answers, old);
    if (isOurs) renew();
    document.dispatchEvent(new CustomEvent('news', { detail: unasked }));
    part('end').scrollIntoView(false);
  };

  /** Answers to a text come with it; all else that comes is unasked. */
  const ask = (to: string, body: string): Promise<boolean> => {
    const after = String(newest());
    const headers = { 'x-after': after, 'content-type': 'application/x-www-form-urlencoded' };
    const how: RequestInit = to ? { method: 'POST', headers, body } : {};
    how.credentials = 'same-origin';
    let isUnasked = true;
    return fetch(to || `${feed}${feed.indexOf('?') < 0 ? '?' : '&'}after=${after}`, how)
      .then((answer) => {
        // The text before got through and its answer did not: these are other words, and need a name of their own.
        if (answer.headers.get('x-again')) {
          renew();
          standing = attribute(note, 'data-again');
          throw new Error(standing);
        }
        if (!answer.ok) throw new Error(String(answer.status));
        isUnasked = !to && !isOwed;
        isOwed = !isUnasked && answer.headers.get('x-more') !== null;
        return answer.status === 204 ? '' : answer.text();
      })
      .then(
        (fragment) => {
          if (fragment) show(fragment, isUnasked);
          draw();
          note.textContent = standing;
          wait = fragment ? SOON : Math.min(wait * 1.5, LATEST);
          return true;
        },
        () => {
          note.textContent = standing || attribute(note, 'data-offline');
          wait = Math.min(wait * 2, LATEST);
          return false;
        },
      );
  };

  /** A page nobody looks at asks nothing, unless it is to ring. */
  const poll = (): void => {
    clearTimeout(timer);
    const again = () => {
      clearTimeout(timer);
      timer = window.setTimeout(poll, wait);
    };
    if (document.hidden && !document.querySelector('#ring[aria-pressed=true]')) again();
    else void ask('', '').then(again);
  };
  const soon = (): void => {
    wait = SOON;
    poll();
  };

  const bodyOf = (form: HTMLFormElement): string => {
    const pairs: [string, string][] = [];
    (list(document, '#say [type=hidden]') as HTMLInputElement[])
      .concat(list(form, '[name=text]') as HTMLInputElement[])
      .forEach((one) => {
        const isButton = one.tagName === 'BUTTON';
        const isSent = isButton ? one === (tapped as Element | null) : one.type !== 'checkbox' || one.checked;
        // The language is for a first text: later ones are answered in that of the conversation.
        const isNeeded = one.name !== 'language' || !log.lastElementChild;
        if (isSent && isNeeded) pairs.push([one.name, one.value]);
      });
    return pairs.map((pair) => pair.map(encodeURIComponent).join('=')).join('&');
  };

  document.addEventListener('click', (event) => {
    tapped = (event.target as Element).closest('button');
  });
  document.addEventListener('submit', (event) => {
    const form = event.target as HTMLFormElement;
    if (!form.hasAttribute('data-live')) return;
    event.preventDefault();
    note.textContent = attribute(note, 'data-sending');
    standing = '';
    void ask(form.action, bodyOf(form)).then((stored) => {
      if (standing) soon();
      if (!stored) return;
      renew();
      if (form.contains(field)) field.value = '';
      soon();
    });
  });
  document.addEventListener('visibilitychange', soon);
  document.addEventListener('due', soon);
  timer = window.setTimeout(poll, wait);
};
