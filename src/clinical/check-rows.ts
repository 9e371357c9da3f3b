// What a shape cannot say about the rows: ids, references, and degrees that a hand could never reach.
import type { Fault } from '../model.ts';
import { ALONG, MALLET_BACKWARDS, NORMAL_MOTION, OVERSHOOT } from './anatomy.ts';
import { signed } from './compile-rows.ts';
import { didYouMean } from './near-miss.ts';
import type { RowShape } from './rule-shapes.ts';

type FaultAt = (path: readonly PropertyKey[], message: string) => Fault;
type WrittenHold = RowShape['position'][number];
type WrittenSplint = RowShape['splints'][number];

/** The faults of rows whose shape is right. */
export function checkRows(rows: readonly RowShape[], faultAt: FaultAt): Fault[] {
  const ids = rows.map((row) => row.id);
  const others = rows.filter((row) => row.otherwise).length;
  const last = others === 1 ? [] : [faultAt(['rows'], `one row must say "otherwise: true", not ${others}`)];
  return [...last, ...rows.flatMap((row, at) => checkRow(row, at, ids, faultAt))];
}

function checkRow(row: RowShape, at: number, ids: readonly string[], faultAt: FaultAt): Fault[] {
  const say = (path: readonly PropertyKey[], message: string) =>
    faultAt(['rows', at, ...path], `row "${row.id}": ${message}`);
  const twice = ids.indexOf(row.id) < at ? [say(['id'], 'this id is used twice')] : [];
  const idle = !row.when === !row.otherwise ? [say([], 'a row has either "when" or "otherwise: true"')] : [];
  const lost = row.replaces.flatMap((other, nth) =>
    ids.includes(other)
      ? []
      : [say(['replaces', nth], `it replaces "${other}", which does not exist${didYouMean(other, ids)}`)],
  );
  const blocks = [{ block: row, path: [] as PropertyKey[] }].concat(
    row.also.map((part, nth) => ({ block: { ...row, ...part }, path: ['also', nth] })),
  );
  const held = blocks.flatMap(({ block, path }) => [
    ...block.position.flatMap((hold, nth) => faultsOf(say, [...path, 'position', nth], degreesFault(hold))),
    ...block.splints.flatMap((splint, nth) => faultsOf(say, [...path, 'splints', nth], endsFault(splint))),
    ...faultsOf(say, path, cutFault(block)),
  ]);
  return [...twice, ...idle, ...lost, ...held];
}

function faultsOf(
  say: (path: readonly PropertyKey[], message: string) => Fault,
  path: readonly PropertyKey[],
  message: string | undefined,
): Fault[] {
  return message === undefined ? [] : [say(path, message)];
}

function degreesFault(written: WrittenHold): string | undefined {
  const ways = [written.flexion, written.extension, written.abduction].filter(Boolean).length;
  if (ways !== 1) return `${written.joint} needs one of flexion, extension and abduction`;
  if ((written.joint === 'thumb.cmc') !== Boolean(written.abduction))
    return `${written.joint} cannot be held like that: abduction is for thumb.cmc, and for it alone`;
  const { lo, hi, aim } = signed(written);
  if (hi - lo < OVERSHOOT) return `${written.joint}: a range needs at least ${OVERSHOOT} degrees`;
  if (aim < lo + OVERSHOOT || aim > hi - OVERSHOOT)
    return `${written.joint}: the aim must keep ${OVERSHOOT} degrees from the edges, since a lay hand overshoots`;
  return motionFault(written.joint, lo, hi);
}

function motionFault(joint: WrittenHold['joint'], lo: number, hi: number): string | undefined {
  const [least, most] = NORMAL_MOTION[joint];
  const floor = joint === 'dip' ? MALLET_BACKWARDS : least - OVERSHOOT;
  if (lo >= floor && hi <= most) return undefined;
  return `${joint} normally moves from ${least} to ${most} degrees of flexion; ${lo} to ${hi} is beyond it`;
}

/** Whose tendon is cut and which one it is are told together: without the second nothing says what must stay slack. */
function cutFault({ cut, tendons }: Pick<RowShape, 'cut' | 'tendons'>): string | undefined {
  if ((cut !== undefined) === tendons.length > 0) return undefined;
  return cut ? `"cut: ${cut}" needs "tendons", such as [fdp]` : '"tendons" needs "cut": whose they are';
}

function endsFault({ from, to }: WrittenSplint): string | undefined {
  return ALONG[from] < ALONG[to]
    ? undefined
    : `a splint from "${from}" cannot end at "${to}", nearer the elbow`;
}
