// Laws that hold whatever clinicians do at the desk, helpers by text and the clock meanwhile.
import { expect, test } from 'vitest';
import fc from 'fast-check';
import { MALLET_BACKWARDS, NORMAL_MOTION, OVERSHOOT, type JointKind } from '../../src/clinical/anatomy.ts';
import { checkCorrection, correctedPlan } from '../../src/clinical/correct.ts';
import { planFor } from '../../src/clinical/plan.ts';
import type { HeldJoint, Plan } from '../../src/model.ts';
import { flexion } from '../../src/vet/laws.ts';
import { everyPlace, fewAnswers, findingsOf } from '../../src/vet/places.ts';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { CUT_FINGER, WRIST, openBedside, type Bedside, type Sent } from './bedside.ts';
import { deskAct, live, storyAtDesk } from './stories.ts';

const runs = (numRuns: number) => ({ numRuns });
type Look = Parameters<typeof live>[1];

function always(look: Look, count = 300): void {
  fc.assert(
    fc.property(storyAtDesk, (told) => void live(told, look)),
    runs(count),
  );
}

function isBeyondMotion(held: HeldJoint): boolean {
  const kind = (held.joint in NORMAL_MOTION ? held.joint : held.joint.split('.')[1]) as JointKind;
  const [least, most] = NORMAL_MOTION[kind];
  const [lo, hi] = flexion(held);
  return !(lo >= (kind === 'dip' ? MALLET_BACKWARDS : least - OVERSHOOT) && hi <= most);
}

test('a case is with one clinician at most, and what is refused changes nothing', () => {
  const seen = new WeakMap<Bedside, { code: string; holder: string | null; told: string }>();
  always((bedside, _sent, decisions, act) => {
    const of = bedside.cases().at(-1);
    const before = seen.get(bedside);
    if (act.do === 'desk' && of && before?.code === of.code) {
      const isOthers = before.holder !== null && before.holder !== act.id;
      if (isOthers) {
        expect(decisions.at(-1)?.events).toEqual([]);
        expect(JSON.stringify(of)).toBe(before.told);
      }
      if (act.act.do === 'take' && !isOthers && of.stage !== 'ended')
        expect(of.call?.acceptedBy).toBe(act.id);
    }
    if (of)
      seen.set(bedside, { code: of.code, holder: of.call?.acceptedBy ?? null, told: JSON.stringify(of) });
  });
});

test('no act loses a check: what is fitted, not paused and not stopped has one open or one to come', () => {
  always((bedside) => {
    for (const { stage, fittedAt, check, timers } of bedside.cases()) {
      if (stage !== 'watching' || fittedAt === null || bedside.contact()?.optedOut) continue;
      const ways = ['check', 'recheck', 'pause', 'skin'].filter((name) => name in timers);
      expect([check !== null, ways.length > 0]).toContain(true);
      // And an open check is never waited for without end.
      if (check !== null) expect(['silent', 'check'].some((name) => name in timers)).toBe(true);
    }
  }, 400);
});

test('nothing throws, timers are kept as the case has them, and the events give the same case again', () => {
  fc.assert(
    fc.property(storyAtDesk, (told) => {
      const bedside = live(told, (bedside) => {
        for (const { code, timers, stage } of bedside.cases()) {
          expect(timers).toEqual(bedside.timers(code));
          if (stage === 'ended') expect(timers).toEqual({});
        }
      });
      for (const { code } of bedside.cases()) expect(bedside.replayed(code)).toEqual(bedside.case(code));
    }),
    runs(300),
  );
});

test('every text of ours to a helper is one part, whatever was corrected', () => {
  const ours = ({ from, to }: Sent) => from === 'palmward' && to === 'helper';
  always((_bedside, sent) => {
    expect(
      sent
        .filter(ours)
        .filter(({ text }) => measure(foldForSms(text)).parts !== 1)
        .map(({ text }) => text),
    ).toEqual([]);
  });
});

test('what is held back waits ten minutes at most, and only while somebody holds the case', () => {
  always((bedside) => {
    for (const { heldBack, call, holdsBack, timers } of bedside.cases()) {
      if (heldBack === undefined) continue;
      expect(call?.state).toBe('accepted');
      expect(holdsBack).toBe(true);
      expect(timers).toHaveProperty('held-back');
      for (const { at } of heldBack) expect(bedside.now - at).toBeLessThanOrEqual(10 * 60_000);
      expect(new Set(heldBack.map(({ id }) => id)).size).toBe(heldBack.length);
    }
  });
});

test('a check, and what a bad one asks for, is never held back', () => {
  always((bedside) => {
    for (const { heldBack = [] } of bedside.cases())
      for (const saying of heldBack.flatMap(({ says }) => says))
        if ('key' in saying)
          expect(saying.key).not.toMatch(
            /^(check[.](ask|again|alone|baseline|loosen|warm|failed|silent|away)|danger|plan|call|talk[.](worse|danger|help|care|stuck))/,
          );
        else expect('plan' in saying).toBe(false);
  });
});

test('no correction leads to a position outside of normal motion, or to a joint both held and free', () => {
  always((bedside) => {
    for (const { plan } of bedside.cases()) {
      if (!plan) continue;
      expect(plan.position.filter(isBeyondMotion)).toEqual([]);
      expect(plan.position.filter(({ joint }) => plan.free.includes(joint))).toEqual([]);
    }
  });
});

test('every plan that the rows make can be corrected: as it is it has no fault, and it stays itself', () => {
  const answers = fewAnswers();
  const plans = new Map<string, () => void>();
  for (const chosen of everyPlace(answers)) {
    const limb = findingsOf(chosen, answers);
    const plan: Plan = planFor(limb, PROTOCOL.rules);
    if (plan.hold !== 'as-planned') continue;
    plans.set(JSON.stringify(plan.position), () => {
      const { faults } = checkCorrection(plan, limb, plan.position, PROTOCOL.rules);
      expect([plan.injuries, faults]).toEqual([plan.injuries, []]);
      expect(correctedPlan(plan, limb, plan.position, PROTOCOL.rules)).toEqual(plan);
    });
  }
  expect(plans.size).toBeGreaterThan(20);
  for (const tried of plans.values()) tried();
});

test('a joint set to other degrees is told to the helper in just those', () => {
  const told = (bedside: Bedside) => bedside.helper('PLAN').join('\n');
  fc.assert(
    fc.property(fc.constantFrom(WRIST, CUT_FINGER), deskAct, (way, act) => {
      const bedside = openBedside();
      bedside.answers(...way);
      bedside.desk('ada', { do: 'take' });
      if (act.do !== 'correct' || bedside.desk('ada', act).refusal !== null) return;
      const set = bedside.case().plan!.position.filter(({ source }) => source === 'clinician');
      const text = told(bedside);
      for (const { aim } of set) if (aim !== 0) expect(text).toContain(`${Math.abs(aim)} degrees`);
    }),
    runs(400),
  );
});
