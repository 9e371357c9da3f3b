// A web chat hears of us only while its page is open: both sides are told, once somebody has to be reached.
import { change, type Step } from './step.ts';
import type { Case, Effect, Saying } from './types.ts';

/** The fact of a case whose helper was told. */
const TOLD = 'page-only';
const NOTE: Saying = { key: 'talk.page-only' };

export const isPageOnly = ({ contact }: Case): boolean => contact.startsWith('chat:');

/** Before a watch or a call nobody waits for word from us: until then the page answers whenever it is written to. */
export function tellPageOnly(step: Step): Step {
  const { call, stage, facts } = step.case;
  const isWaitedFor = stage === 'watching' || (call !== null && stage !== 'ended');
  if (!isWaitedFor || !isPageOnly(step.case) || facts[TOLD] !== undefined) return step;
  const told = change(step, { facts: { ...facts, [TOLD]: 'told' } });
  return { ...told, effects: beforeAsking(told.effects) };
}

/** After what to do, and before what is asked: a question stands last, where it is answered. */
function beforeAsking(effects: Effect[]): Effect[] {
  const at = effects.findIndex((effect) => effect.do === 'say' && effect.says.some(isAsking));
  const asking = effects[at];
  if (asking?.do !== 'say') return [...effects, { do: 'say', says: [NOTE] }];
  const from = asking.says.findIndex(isAsking);
  const says = asking.says.toSpliced(from, 0, NOTE);
  return effects.with(at, { do: 'say', says });
}

const isAsking = (saying: Saying): boolean =>
  'ask' in saying ||
  ('key' in saying && /^(check[.](ask|again|alone|baseline)|size|talk[.]when)/.test(saying.key));
