// A splint's size without a shop: lengths, straps and print scale from one or two measures of a hand.
//
// Source of the ratios: computed from the public US Army anthropometric survey of 2012 (ANSUR II; report Gordon et al.,
// NATICK/TR-15/007, 2014; 4082 men and 1986 women, soldiers of about 17 to 58 years). Not children, not the world.

/** Millimetres. */
type Mm = number;

/** What was measured on the hand: length from the wrist crease to the tip of the middle finger, breadth over the knuckles. */
export interface HandMeasure {
  lengthMm: Mm;
  breadthMm: Mm | null;
}

/** A computed length and how far it may be off, 95 of 100 times. */
export interface Sized {
  mm: Mm;
  offMm: Mm;
}

export interface SplintSize {
  /** From the wrist crease up the forearm: two thirds of it (Steffa 2003). */
  forearmPart: Sized;
  /** From the wrist crease into the palm, ending 10 mm short of the distal crease (Kim 2016). */
  palmPart: Sized;
  wristStrap: Sized;
  forearmStrap: Sized;
  /** Percent of the reference hand, for something printed flat. */
  printScale: { percent: number; offPercent: number };
}

/** The hand that 100 percent stands for: between the means of the survey's men (193.3 mm) and women (181.1 mm). */
export const REFERENCE_HAND_MM = 187;

/** The extremes seen in the survey; beyond them nothing is computed. */
export const MEASURED_LENGTH: readonly [Mm, Mm] = [145, 239];
/** Three standard deviations around the women's and the men's mean breadth (78.2, SD 3.8; 88.3, SD 4.4). */
export const MEASURED_BREADTH: readonly [Mm, Mm] = [67, 101];

/** The long side of a bank or identity card (ISO/IEC 7810, ID-1), in millimetres. */
export const CARD_LONG_SIDE_MM = 85.6;

// forearm = 1.324 x hand length + 8.6, standard error 12.6 mm; palm = 0.602 x hand length, SD 0.020 of it.
const FOREARM = { slope: 1.324, plus: 8.6, error: 12.6 };
const PALM = { ratio: 0.602, sd: 0.02 };
// wrist girth = 1.798 x hand breadth + 16.2, standard error 6.5 mm; forearm girth / wrist girth = 1.74 (means of both).
const WRIST = { slope: 1.798, plus: 16.2, error: 6.5 };
const FOREARM_GIRTH_RATIO = 1.74;
/** Breadth from length where it was not measured: ratio of the means, 0.444 pooled, SD about 0.02. */
const BREADTH_RATIO = { ratio: 0.444, sd: 0.02 };
/** From the finger base, where the palm's length ends, to the distal crease. From memory. */
const CREASE_BELOW_FINGER_BASE = 20;
const SHORT_OF_CREASE = 10;
/** For closing and for padding. Choice. */
const STRAP_OVERLAP = 50;
/** Two standard deviations hold 95 of 100. */
const SIGMAS = 2;
/** What a lay helper measures a hand wrong by. Choice. */
const MEASURE_OFF = 4;

/** The size for a measured hand; null where the hand lies beyond what was measured (a child's, mostly). */
export function sizeSplint({ lengthMm, breadthMm }: HandMeasure): SplintSize | null {
  if (!within(lengthMm, MEASURED_LENGTH)) return null;
  if (breadthMm !== null && !within(breadthMm, MEASURED_BREADTH)) return null;
  const breadth = breadthMm ?? BREADTH_RATIO.ratio * lengthMm;
  const breadthOff = breadthMm === null ? SIGMAS * BREADTH_RATIO.sd * lengthMm : 0;
  const girth = WRIST.slope * breadth + WRIST.plus;
  const girthOff = SIGMAS * WRIST.error + WRIST.slope * breadthOff;
  return {
    forearmPart: sized((2 / 3) * (FOREARM.slope * lengthMm + FOREARM.plus), (2 / 3) * SIGMAS * FOREARM.error),
    palmPart: sized(
      PALM.ratio * lengthMm - CREASE_BELOW_FINGER_BASE - SHORT_OF_CREASE,
      SIGMAS * PALM.sd * lengthMm,
    ),
    wristStrap: sized(girth + STRAP_OVERLAP, girthOff),
    forearmStrap: sized(FOREARM_GIRTH_RATIO * girth + STRAP_OVERLAP, FOREARM_GIRTH_RATIO * girthOff),
    printScale: {
      percent: Math.round((100 * lengthMm) / REFERENCE_HAND_MM),
      offPercent: Math.ceil((100 * MEASURE_OFF) / REFERENCE_HAND_MM),
    },
  };
}

function within(value: number, [least, most]: readonly [Mm, Mm]): boolean {
  return value >= least && value <= most;
}

function sized(mm: number, offMm: number): Sized {
  return { mm: Math.round(mm), offMm: Math.round(offMm) };
}
