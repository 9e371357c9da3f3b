// The program's sign: a hand with a splint along it, drawn by us as thick round strokes.

/** From and to in a square of 512 units, with its width. */
export interface Stroke {
  from: readonly [x: number, y: number];
  to: readonly [x: number, y: number];
  width: number;
  /** Red, green, blue: 0 to 255. */
  colour: readonly [number, number, number];
}

export const ICON_SIZE = 512;
export const GROUND = [0, 80, 74] as const;
const HAND = [255, 255, 255] as const;
const SPLINT = [127, 224, 208] as const;

/** Everything stands within the middle four fifths: phones cut icons into circles. */
export const STROKES: readonly Stroke[] = [
  { from: [246, 330], to: [246, 430], width: 96, colour: HAND },
  { from: [216, 290], to: [276, 290], width: 120, colour: HAND },
  { from: [182, 270], to: [166, 176], width: 36, colour: HAND },
  { from: [224, 250], to: [218, 124], width: 36, colour: HAND },
  { from: [266, 250], to: [270, 118], width: 36, colour: HAND },
  { from: [308, 262], to: [320, 152], width: 36, colour: HAND },
  { from: [186, 330], to: [116, 270], width: 40, colour: HAND },
  { from: [352, 236], to: [330, 430], width: 32, colour: SPLINT },
  { from: [190, 372], to: [338, 372], width: 22, colour: SPLINT },
  { from: [192, 424], to: [330, 424], width: 22, colour: SPLINT },
];

export function iconSvg(): string {
  const strokes = STROKES.map(
    ({ from, to, width, colour }) =>
      `<path d="M${from.join()}L${to.join()}" stroke="rgb(${colour.join()})" stroke-width="${width}"/>`,
  );
  const ground = `<rect width="${ICON_SIZE}" height="${ICON_SIZE}" rx="96" fill="rgb(${GROUND.join()})"/>`;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${ICON_SIZE} ${ICON_SIZE}" stroke-linecap="round">${ground}${strokes.join('')}</svg>`;
}
