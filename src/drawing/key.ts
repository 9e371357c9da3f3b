// What the marks of a drawing mean: a row of samples, each with its word; a new row where one is full.
import { WIDTH } from './frame.ts';
import { BROKEN } from './marks.ts';
import { element, escaped, short } from './svg.ts';

/** The words that a drawing may need, each short. */
export interface Labels {
  side: string;
  flat: string;
  splint: string;
  strap: string;
  free: string;
  sling: string;
  board: string;
  pad: string;
  tie: string;
  still: string;
}
export type Sample = 'splint' | 'strap' | 'free' | 'sling' | 'board' | 'pad' | 'tie' | 'still';

export const LINE = 20;
const SAMPLE = 26;
const GAP = 14;
/** Units to a letter, a little more than most need. */
const LETTER = 8;

/** The key and how tall it is. */
export function key(
  samples: readonly Sample[],
  labels: Labels,
  top: number,
): { svg: string; height: number } {
  let [x, row] = [4, 0];
  const parts = samples.map((sample) => {
    const length = SAMPLE + labels[sample].length * LETTER;
    if (x > 4 && x + length > WIDTH) [x, row] = [4, row + 1];
    const part =
      sampleAt(sample, x, top + row * LINE + 9) + text(labels[sample], x + SAMPLE, top + row * LINE + 14);
    x += length + GAP;
    return part;
  });
  return { svg: parts.join(''), height: (row + 1) * LINE };
}

export function text(words: string, x: number, y: number): string {
  return element('text', { x, y }, [escaped(words)]);
}

function sampleAt(sample: Sample, x: number, y: number): string {
  const line = (path: string, more: Record<string, string | number>) =>
    element('path', { d: `M${short(x)} ${short(y)}${path}`, stroke: 'currentColor', ...more });
  switch (sample) {
    case 'splint':
    case 'board':
      return line('h20', { class: 'splint', 'stroke-width': 10 });
    case 'strap':
      return line('m10-8v16', { 'stroke-width': 6, 'stroke-linecap': 'round' });
    case 'free':
      return line('h20', BROKEN);
    case 'sling':
      return line('m0-7h20v14h-20Z', { stroke: 'none', 'fill-opacity': 0.15 });
    case 'pad':
      return line('m0 4a5 5 0 0 1 10 0a5 5 0 0 1 10 0', { 'stroke-width': 2, fill: 'none' });
    case 'tie':
      return line('m0-6v12l20-12v12Z', { 'stroke-width': 3, fill: 'none' });
    case 'still':
      return line('m3-7l14 14m0-14l-14 14', { 'stroke-width': 4 });
  }
}
