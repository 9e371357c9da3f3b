// Reads one hurt place as the rules weigh it: what was not said is named as such or taken as the worse answer.
import type { Age, Cause, Findings, Finger, Level, Material, Region, Site, WoundFace } from '../model.ts';
import { FINGERS } from './anatomy.ts';
import { bitsOf } from './condition-bits.ts';
import type { Bits, Words } from './condition-bits.ts';

/** One hurt place. A place is a whole site, or a site's thumb or its fingers when a hand site names both. */
export interface Facts extends Words {
  region: Region;
  level: Level | 'not-known';
  break: 'suspected' | 'no';
  skin: 'whole' | 'scratch' | 'deep' | 'not-known';
  face: WoundFace | 'not-known';
  cause: Cause | 'not-told' | 'not-known';
  age: Age;
  material: Material | 'not-known';
  /** Holds `not-known` when nobody could look. */
  signs: ReadonlySet<string>;
  /** The fingers that are hurt here; all four where none was named. */
  own: readonly Finger[];
  /** All words of this place, for the conditions of the rows. */
  bits: Bits;
}

const NOT_KNOWN = 'not-known';
const SKIN = { none: 'whole', shallow: 'scratch', deep: 'deep' } as const;
/** These speak for a break or a joint that was out, whatever was answered about a break. */
const SIGNS_OF_A_BREAK = ['fingers-cross', 'nail-tilts', 'was-out-of-joint', 'joint-leans'];
const AT_A_FINGER: readonly string[] = [
  'proximal-phalanx',
  'pip-joint',
  'middle-phalanx',
  'dip-joint',
  'distal-phalanx',
];

/** The places of a site: mostly one; two when a hand site names the thumb besides fingers. */
export function placesOf(site: Site, limb: Findings): Facts[] {
  const told = known(site, 'digits') ?? [];
  const fingers = FINGERS.filter((finger) => told.includes(finger));
  const facts = factsOf(site, limb, fingers.length ? fingers : FINGERS);
  if (site.region !== 'hand' || !told.includes('thumb')) return [facts];
  const thumb = withBits({ ...facts, region: 'thumb', own: FINGERS });
  return fingers.length ? [facts, thumb] : [thumb];
}

function factsOf(site: Site, limb: Findings, fingers: readonly Finger[]): Facts {
  const level = known(site, 'level') ?? NOT_KNOWN;
  const wound = known(site, 'wound');
  return withBits({
    region: regionOf(site.region, level),
    level,
    break: isBreakSuspected(site) ? 'suspected' : 'no',
    skin: wound ? SKIN[wound] : NOT_KNOWN,
    face: known(site, 'face') ?? NOT_KNOWN,
    cause: causeOf(site),
    age: limb.notKnown?.includes('age') ? 'child' : (limb.age ?? 'child'),
    material: limb.notKnown?.includes('material') ? NOT_KNOWN : (limb.material ?? NOT_KNOWN),
    signs: signsOf(site),
    own: site.region === 'hand' || site.region === 'finger' ? fingers : FINGERS,
  });
}

function withBits(facts: Omit<Facts, 'bits'>): Facts {
  return { ...facts, bits: bitsOf(facts) };
}

/** A finger's level wins over the word "hand": a hurt "hand" at the middle joint is a finger. */
function regionOf(region: Region, level: Level | 'not-known'): Region {
  return region === 'hand' && AT_A_FINGER.includes(level) ? 'finger' : region;
}

/** Not told counts as suspected, since a break that is missed is the worse mistake. */
function isBreakSuspected(site: Site): boolean {
  const bySign = site.signs?.some((sign) => SIGNS_OF_A_BREAK.includes(sign)) ?? false;
  return bySign || known(site, 'broken') !== 'no';
}

/** A cause that nobody asked for is weighed with care; one that nobody knows could be anything. */
function causeOf(site: Site): Facts['cause'] {
  if (site.notKnown?.includes('cause')) return NOT_KNOWN;
  return site.cause ?? 'not-told';
}

function signsOf(site: Site): ReadonlySet<string> {
  const seen = site.signs ?? [];
  return new Set(site.notKnown?.includes('signs') ? [...seen, NOT_KNOWN] : seen);
}

/** An answer, unless it is also named as not known. */
function known<K extends keyof Site>(site: Site, field: K): Site[K] | undefined {
  return site.notKnown?.includes(field) ? undefined : site[field];
}
