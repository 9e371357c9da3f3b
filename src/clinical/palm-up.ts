// Whether the forearm lies palm up, in words and drawings alike: nothing but clean cloth may touch a burnt palm.
import type { Plan } from '../model.ts';

export function isPalmUp({ injuries }: Pick<Plan, 'injuries'>): boolean {
  return injuries.includes('burn-palm');
}
