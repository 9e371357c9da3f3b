// The three grades of urgency, and which of two is worse.
import type { Urgency } from '../model.ts';

const GRADES: readonly Urgency[] = ['soon', 'today', 'now'];

/** The worse of two urgencies. */
export function worseUrgency(one: Urgency, other: Urgency): Urgency {
  return GRADES.indexOf(one) >= GRADES.indexOf(other) ? one : other;
}
