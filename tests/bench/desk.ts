// The desk: how soon its list begins to show and how heavy it is with few and with very many open cases, and how soon a text
// that arrives is on the stream and on a browser's screen, on a server of its own.
import { runChild } from './child.ts';
import type { Stores } from './stores.ts';

export interface Desk {
  cases: number;
  /** From asking for the page to the first byte of its first row. */
  firstRowMs: number;
  firstRowP99Ms: number;
  /** The page as sent, squeezed as a proxy would. */
  pageKb: number;
  gzipKb: number;
  /** From sending a text to its row on the stream. */
  updateMs: number;
  updateP99Ms: number;
  updateBytes: number;
  /** From sending a text to its row's new state painted on a list that is open in a browser, three texts a second. */
  paintedMs: number;
  paintedP99Ms: number;
  paintedTexts: number;
}

const SIZES = [200, 5000];

export async function measureDesk(stores: Stores): Promise<Desk[]> {
  const measured: Desk[] = [];
  for (const cases of SIZES) {
    const args = [await stores.holding(cases), String(cases)];
    measured.push((await runChild(new URL('desk-shown.ts', import.meta.url), args)) as Desk);
  }
  return measured;
}
