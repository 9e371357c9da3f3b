// A turn in the making: the case as it stands, and the effects gathered so far.
import type { Protocol } from './protocol.ts';
import type { Around, Case, Effect, Instant, Saying } from './types.ts';

export interface Step {
  case: Case;
  effects: Effect[];
  around: Around;
  protocol: Protocol;
}

export const SECOND = 1000;
export const MINUTE = 60 * SECOND;
export const HOUR = 60 * MINUTE;

/** The step with some of the case changed. */
export function change(step: Step, changes: Partial<Case>): Step {
  return { ...step, case: { ...step.case, ...changes } };
}

/** The step with something more to say to the helper. */
export function say(step: Step, ...says: Saying[]): Step {
  return says.length === 0 ? step : { ...step, effects: [...step.effects, { do: 'say', says }] };
}

/** The step with something to tell a clinician. */
export function tell(step: Step, clinician: string, ...says: Saying[]): Step {
  return { ...step, effects: [...step.effects, { do: 'tell', clinician, says }] };
}

/** Sets a timer by name; setting it again moves it. */
export function wake(step: Step, timer: string, at: Instant): Step {
  const timers = { ...step.case.timers, [timer]: at };
  return { ...change(step, { timers }), effects: [...step.effects, { do: 'wake', timer, at }] };
}

/** Clears timers, where they are set. */
export function unwake(step: Step, ...names: string[]): Step {
  return names.reduce((before, timer) => {
    if (before.case.timers[timer] === undefined) return before;
    const { [timer]: _gone, ...timers } = before.case.timers;
    return { ...change(before, { timers }), effects: [...before.effects, { do: 'unwake', timer }] };
  }, step);
}

/** A wait of the watch, in milliseconds. */
export function waitMs(step: Step, name: keyof Protocol['rules']['watch']['waits']): number {
  return step.protocol.rules.watch.waits[name] * SECOND;
}
