// Lays the splints that the rows ask for: a face that covers no wound, and as few splints as will do.
import type { Digit, Splint, SplintFace } from '../model.ts';
import { ALONG, DIGITS, placeAlong } from './anatomy.ts';
import type { Extent } from './anatomy.ts';
import { digitsCovered } from './establish.ts';
import type { Finding } from './establish.ts';
import type { Facts } from './facts.ts';
import type { Wish } from './rule-types.ts';

/** A hurt place with its findings, as far as splints need to know it. */
export interface Place {
  facts: Facts;
  findings: readonly Finding[];
}

/** A splint with ends that are known; a plan's splints are all of these. */
export interface Laid {
  face: SplintFace;
  from: Extent;
  to: Extent;
  digits: readonly Digit[];
}
type Cover = Omit<Laid, 'face'>;

const SIDES: readonly SplintFace[] = ['palmar', 'dorsal', 'ulnar', 'radial'];
const FACE_ORDER: readonly SplintFace[] = [...SIDES, 'finger', 'tip'];
/** The little finger's edge holds little and ring, the thumb's edge index and middle. */
const GUTTERS: readonly { face: SplintFace; digits: readonly Digit[] }[] = [
  { face: 'ulnar', digits: ['ring', 'little'] },
  { face: 'radial', digits: ['index', 'middle'] },
];

/** The splints, largest first, or a conflict where a wound leaves no face for one of them. */
export function laySplints(places: readonly Place[]): { splints: Splint[]; conflict: boolean } {
  const wishes = places.flatMap((place) => place.findings.flatMap((finding) => wishesOf(finding)));
  const laid = wishes.map(({ faces, cover }) => {
    const face = pickFace(faces, cover, places);
    return face && { face, ...cover };
  });
  const joined = join(laid.filter((each) => each !== undefined).toSorted(bySize), places);
  const splints = asFewAsHold(joined, places);
  return { splints: largestFirst(splints), conflict: laid.includes(undefined) };
}

function wishesOf(finding: Finding): { faces: SplintFace[]; cover: Cover }[] {
  return finding.effect.splints.flatMap((wish) => split(wish, digitsCovered(wish, finding)));
}

/** A gutter lies along one edge of the hand, so that a wish for fingers of both edges becomes two splints. */
function split(wish: Wish, digits: readonly Digit[]): { faces: SplintFace[]; cover: Cover }[] {
  const { from, to } = wish;
  const sided = (face: SplintFace) => wish.faces.map((each) => (each === 'gutter' ? face : each));
  if (!wish.faces.includes('gutter'))
    return [{ faces: wish.faces.filter(isFace), cover: { from, to, digits } }];
  return GUTTERS.map((gutter) => ({
    faces: sided(gutter.face),
    cover: { from, to, digits: digits.filter((digit) => gutter.digits.includes(digit)) },
  })).filter(({ cover }) => cover.digits.length > 0);
}

function isFace(face: Wish['faces'][number]): face is SplintFace {
  return face !== 'gutter';
}

/** The first face that covers no wound; a scratch is only avoided where another face will do. */
function pickFace(
  faces: readonly SplintFace[],
  cover: Cover,
  places: readonly Place[],
): SplintFace | undefined {
  const possible = faces.filter((face) => !isForbidden(face, cover, places));
  return possible.find((face) => !isScratched(face, cover, places)) ?? possible[0];
}

/** Whether a splint lies on a wound that must stay uncovered. */
export function coversWound(splint: Laid, places: readonly Place[]): boolean {
  return isForbidden(splint.face, splint, places);
}

/** In the order in which a plan names its splints. */
export function largestFirst(splints: readonly Laid[]): Splint[] {
  return splints.toSorted(bySize).map(told);
}

function isForbidden(face: SplintFace, cover: Cover, places: readonly Place[]): boolean {
  return places.some(
    (place) => mustStayUncovered(place) && sidesOf(place.facts).includes(face) && covers(cover, place.facts),
  );
}

function isScratched(face: SplintFace, cover: Cover, places: readonly Place[]): boolean {
  return places.some(
    ({ facts }) => facts.skin === 'scratch' && sidesOf(facts).includes(face) && covers(cover, facts),
  );
}

/** Whether a place has sides that no splint may cover: a deep wound, one that may be deep, or a burn. */
export function mustStayUncovered({ facts }: Pick<Place, 'facts'>): boolean {
  return facts.skin === 'deep' || facts.skin === 'not-known' || facts.cause === 'burn';
}

function sidesOf({ face }: Facts): readonly SplintFace[] {
  if (face === 'not-known') return SIDES;
  if (face === 'both') return ['palmar', 'dorsal'];
  return face === 'edge' ? ['ulnar', 'radial'] : [face];
}

function covers({ from, to, digits }: Cover, { region, level, own }: Facts): boolean {
  const [near, far] = placeAlong(region, level);
  if (ALONG[from] >= far || ALONG[to] <= near) return false;
  if (digits.length === 0 || region === 'forearm' || region === 'wrist') return true;
  return region === 'thumb' ? digits.includes('thumb') : own.some((finger) => digits.includes(finger));
}

/**
 * Fewer splints that hold as much. Gutters on both edges become one slab over all four fingers; and where the wrist is
 * held anyway, a hand splint is drawn out over it, so that one splint from the forearm does both (as for a break at a
 * metacarpal base). Choice.
 */
function asFewAsHold(laid: readonly Laid[], places: readonly Place[]): Laid[] {
  return overTheWrist(slabForGutters(laid, places), places);
}

function slabForGutters(laid: readonly Laid[], places: readonly Place[]): readonly Laid[] {
  const ulnar = laid.find(({ face }) => face === 'ulnar');
  const radial = laid.find(({ face, digits }) => face === 'radial' && !digits.includes('thumb'));
  if (!ulnar || !radial) return laid;
  const cover = both(ulnar, radial);
  const face = pickFace(['dorsal', 'palmar'], cover, places);
  return face ? [...laid.filter((each) => each !== ulnar && each !== radial), { face, ...cover }] : laid;
}

function overTheWrist(laid: readonly Laid[], places: readonly Place[]): Laid[] {
  const wristOnly = laid.find(
    ({ to, from }) => to === 'palm-10mm-short-of-crease' && from === 'forearm-two-thirds',
  );
  const hand = laid.find(
    ({ face, from, to }) =>
      face !== 'finger' &&
      face !== 'tip' &&
      to !== 'palm-10mm-short-of-crease' &&
      ALONG[from] <= ALONG['hand-side-of-wrist-crease'],
  );
  if (!wristOnly || !hand) return [...laid];
  const long = { face: hand.face, ...both(hand, wristOnly) };
  if (isForbidden(long.face, long, places)) return [...laid];
  return [...laid.filter((each) => each !== wristOnly && each !== hand), long];
}

/** Joins splints of one face that overlap; a finger or tip splint goes into a longer one over the same finger. */
function join(laid: readonly Laid[], places: readonly Place[]): Laid[] {
  const kept: Laid[] = [];
  for (const each of laid) {
    const at = kept.findIndex(
      (other) => canJoin(other, each) && !isForbidden(other.face, both(other, each), places),
    );
    if (at < 0) kept.push(each);
    else kept[at] = { face: kept[at]!.face, ...both(kept[at]!, each) };
  }
  return kept.length < laid.length ? join(kept.toSorted(bySize), places) : kept;
}

function canJoin(one: Laid, other: Laid): boolean {
  const near = Math.max(ALONG[one.from], ALONG[other.from]);
  if (near > Math.min(ALONG[one.to], ALONG[other.to])) return false;
  const shared = other.digits.some((digit) => one.digits.includes(digit));
  if (one.face === other.face) return shared || near < ALONG['finger-base'];
  const small = other.face === 'finger' || other.face === 'tip';
  if (small) return other.digits.every((digit) => one.digits.includes(digit));
  // Two long splints over one finger: the longer one holds what the other would.
  return shared && ALONG[one.from] <= ALONG[other.from] && ALONG[one.to] >= ALONG[other.to];
}

function both(one: Cover, other: Cover): Cover {
  return {
    from: ALONG[other.from] < ALONG[one.from] ? other.from : one.from,
    to: further(one.to, other.to),
    digits: DIGITS.filter((digit) => one.digits.includes(digit) || other.digits.includes(digit)),
  };
}

/** The further end; of two at the same place the one named first in the alphabet, so that order changes nothing. */
function further(one: Extent, other: Extent): Extent {
  if (ALONG[one] !== ALONG[other]) return ALONG[one] > ALONG[other] ? one : other;
  return one < other ? one : other;
}

function bySize(one: Laid, other: Laid): number {
  const length = (laid: Laid) => ALONG[laid.to] - ALONG[laid.from];
  return length(other) - length(one) || rank(one) - rank(other) || one.to.localeCompare(other.to);
}

/** Faces in their order, then digits in theirs. */
function rank({ face, digits, from }: Laid): number {
  const bits = DIGITS.reduce((sum, digit, at) => sum + (digits.includes(digit) ? 1 << at : 0), 0);
  return FACE_ORDER.indexOf(face) * 10_000 + bits * 100 + ALONG[from];
}

function told({ face, from, to, digits }: Laid): Splint {
  return { face, from, to, digits: [...digits] };
}
