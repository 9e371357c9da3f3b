// The rules of a text on its way: what is urgent, and which state may follow which.
import type { DeliveryState } from '../port.ts';

const FINAL: DeliveryState[] = ['delivered', 'failed', 'dropped'];
const URGENT_KEYS = ['danger.', 'plan.', 'check.failed', 'call.'];

export function isUrgent(key: string): boolean {
  return URGENT_KEYS.some((start) => key.startsWith(start));
}

/**
 * Reports and outcomes come twice and in any order. Final states stay; what the gateway has taken on is not sent
 * again because an attempt thought itself unclear, so from `sent` only an end can follow.
 */
export function mayFollow(now: DeliveryState, next: DeliveryState): boolean {
  if (FINAL.includes(now)) return false;
  return now !== 'sent' || next === 'delivered' || next === 'failed';
}
