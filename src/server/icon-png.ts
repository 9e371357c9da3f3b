// The program's sign as PNG, for phones that take no other picture for an icon. A chunk and its checksum as the PNG
// specification (W3C, Portable Network Graphics, second edition, 2003; from memory) has them; a browser reads it in the tests.
import { crc32, deflateSync } from 'node:zlib';
import { GROUND, ICON_SIZE, type Stroke, STROKES } from '../channels/icon.ts';

const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
const TRUE_COLOUR = 2;

/** A square of `size` pixels. */
export function iconPng(size: number): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(size, 0);
  header.writeUInt32BE(size, 4);
  header.set([8, TRUE_COLOUR], 8);
  const rows = Array.from({ length: size }, (_, y) => row(size, y));
  const pixels = deflateSync(Buffer.concat(rows), { level: 9 });
  return Buffer.concat([
    SIGNATURE,
    chunk('IHDR', header),
    chunk('IDAT', pixels),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/** A filter byte, then three bytes a pixel. */
function row(size: number, y: number): Buffer {
  const pixels = Buffer.alloc(1 + 3 * size);
  for (let x = 0; x < size; x += 1) pixels.set(pixel(size, x, y), 1 + 3 * x);
  return pixels;
}

function pixel(size: number, x: number, y: number): number[] {
  const scale = ICON_SIZE / size;
  const at = [(x + 0.5) * scale, (y + 0.5) * scale] as const;
  return STROKES.reduce<number[]>(
    (under, stroke) => {
      // An edge is as soft as a pixel is wide.
      const share = Math.min(1, Math.max(0, (stroke.width / 2 - distance(at, stroke)) / scale + 0.5));
      return share === 0
        ? under
        : under.map((colour, of) => Math.round(colour + share * (stroke.colour[of]! - colour)));
    },
    [...GROUND],
  );
}

function distance([x, y]: readonly [number, number], { from, to }: Stroke): number {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const along = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy);
  const part = Math.min(1, Math.max(0, along));
  return Math.hypot(x - from[0] - part * dx, y - from[1] - part * dy);
}

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const frame = Buffer.alloc(8);
  frame.writeUInt32BE(data.length, 0);
  frame.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([frame.subarray(0, 4), body, frame.subarray(4)]);
}
