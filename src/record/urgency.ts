// How urgent the case is now: the worse of the plan's urgency and the open call's.
import { worseUrgency } from '../clinical/urgency.ts';
import type { Urgency } from '../model.ts';
import type { Telling } from './recorded.ts';

export function urgencyOf({ case: { plan, call } }: Pick<Telling, 'case'>): Urgency {
  return worseUrgency(plan?.urgency ?? 'soon', call?.urgency ?? 'soon');
}
