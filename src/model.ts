// The words that every room shares: types only, so that any room may import it and it depends on nothing.

/** One file of `flows/` or `locales/`: its path from the project's root, and its text. */
export interface SourceFile {
  path: string;
  text: string;
}

/** A fault found in `flows/` or `locales/`: where, what, and what was probably meant. `line` counts from 1. */
export interface Fault {
  file: string;
  line: number;
  message: string;
}

/** The outcome of reading something from outside: the value, or what is wrong with it. */
export type Read<T> = { ok: true; value: T } | { ok: false; faults: Fault[] };

export type Side = 'left' | 'right';
/** child: under 12; older: 62 and up. */
export type Age = 'child' | 'adult' | 'older';
export type Sex = 'female' | 'male';
export type Material = 'printed-flat' | 'sheet' | 'padded-strip' | 'plaster' | 'household' | 'none';
/** `wrist` means within a hand's breadth of the crease. */
export type Region = 'forearm' | 'wrist' | 'hand' | 'thumb' | 'finger';
export type Finger = 'index' | 'middle' | 'ring' | 'little';
export type Digit = 'thumb' | Finger;
export type Level =
  | 'metacarpal-base'
  | 'metacarpal-shaft'
  | 'metacarpal-neck'
  | 'mcp-joint'
  | 'proximal-phalanx'
  | 'pip-joint'
  | 'middle-phalanx'
  | 'dip-joint'
  | 'distal-phalanx';
export type Broken = 'yes' | 'no' | 'unsure';
export type Wound = 'none' | 'shallow' | 'deep';
export type WoundFace = 'palmar' | 'dorsal' | 'edge' | 'both';
export type Cause =
  | 'fall'
  | 'punch'
  | 'sharp'
  | 'crush'
  | 'burn'
  | 'bite'
  | 'animal-bite'
  | 'snake'
  | 'jammed'
  | 'injection'
  | 'electric'
  | 'chemical'
  | 'other';
/** A sign from the vocabulary of `flows/`, such as `knuckle-sunken`. */
export type Sign = string;

/** One hurt place. An absent answer, and any field named in `notKnown`, is not known and taken as the worse case. */
export interface Site {
  region: Region;
  digits?: Digit[] | undefined;
  level?: Level | undefined;
  broken?: Broken | undefined;
  wound?: Wound | undefined;
  face?: WoundFace | undefined;
  cause?: Cause | undefined;
  /** Absent means none seen. */
  signs?: Sign[] | undefined;
  notKnown?: string[] | undefined;
}

/** What the answers established about one limb. `hours` since the injury. */
export interface Findings {
  side?: Side | undefined;
  age?: Age | undefined;
  sex?: Sex | undefined;
  hours?: number | undefined;
  material?: Material | undefined;
  sites: Site[];
  notKnown?: string[] | undefined;
}

export type Urgency = 'now' | 'today' | 'soon';
export type FingerJoint = `${Finger}.${'mcp' | 'pip' | 'dip'}`;
export type ThumbJoint = 'thumb.cmc' | 'thumb.mcp' | 'thumb.ip';
export type Joint = 'elbow' | 'wrist' | FingerJoint | ThumbJoint;
export type Direction = 'extension' | 'flexion' | 'abduction';

/** One joint held: degrees in `direction`; a negative number is the other way. */
export interface HeldJoint {
  joint: Joint;
  direction: Direction;
  degrees: [number, number];
  aim: number;
  /** The sources of the numbers, as keyed in `flows/sources.yaml`, joined by `; `. */
  source: string;
}

export type SplintFace = 'palmar' | 'dorsal' | 'ulnar' | 'radial' | 'finger' | 'tip';

/** Where one splint lies. `from` (elbow end) and `to` (finger end) are keys that `locales/` puts in words. */
export interface Splint {
  face: SplintFace;
  from: string;
  to: string;
  digits: Digit[];
}

export type Hold = 'as-planned' | 'as-it-lies' | 'free';
export type CalendarName = 'limb' | 'wrist' | 'finger';

/** Until when a clinician should have seen the hand, in hours after the plan was made. */
export interface SeenBy {
  hours: number;
  /** Only if it is not better by then. */
  unlessBetter: boolean;
  /** Keys of `flows/sources.yaml`, joined by `; `. */
  source: string;
}

/** How many weeks such an injury usually stays in a splint. Only a clinician ends it. */
export interface UsualStay {
  weeks: [number, number];
  source: string;
}

/** A bend of a broken bone that is usually left as it is, in degrees: for the clinician who decides, not for a helper. */
export interface Tolerated {
  digit: Digit;
  degrees: [number, number];
  source: string;
}

/** The position, joint by joint, what stays free, where the splint goes, how urgent it is and what to watch. */
export interface Plan {
  hold: Hold;
  position: HeldJoint[];
  /** Joints that must keep moving. */
  free: Joint[];
  splint: Splint | null;
  splints: Splint[];
  /** The rows of `flows/positions.yaml` that the findings established. */
  injuries: string[];
  urgency: Urgency;
  seenBy: SeenBy;
  usualStay: UsualStay | null;
  /** Turning of a finger about its length is never tolerated, and so is not listed. */
  tolerated: Tolerated[];
  call: boolean;
  conflict: boolean;
  /** Keys of what must be said with this plan. */
  cautions: string[];
  /** Digits whose tendon is assumed cut: nobody is asked to move them. */
  cutDigits: Digit[];
  calendar: CalendarName | null;
  /** Seconds after fitting at which circulation is checked. */
  watch: number[];
}

/** One circulation check as told. Refill in seconds, measured at the fingertip pulp after pressing five seconds. */
export interface CirculationCheck {
  age?: Age | undefined;
  sex?: Sex | undefined;
  refill?: number | undefined;
  otherRefill?: number | undefined;
  cold?: 'no' | 'both' | 'one' | undefined;
  colour?: 'normal' | 'pale' | 'blue' | undefined;
  /** Against before the splint. */
  feeling?: 'same' | 'less' | 'none' | 'cannot-tell' | undefined;
  pain?: 'less' | 'same' | 'more' | 'cannot-tell' | undefined;
  tense?: boolean | undefined;
  stretchPain?: boolean | undefined;
  loosenedBefore?: boolean | undefined;
  warmedBefore?: boolean | undefined;
}

export type CirculationOutcome = 'good' | 'loosen' | 'failed';

export interface CirculationVerdict {
  outcome: CirculationOutcome;
  call: boolean;
  /** Seconds until this must be checked again; null when the calendar decides. */
  recheck: number | null;
  reasons: string[];
}
