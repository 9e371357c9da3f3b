// Laws that hold whatever helpers, clinicians and clocks do, in whatever order.
import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { foldForSms } from '../../src/wording/fold.ts';
import { measure } from '../../src/wording/parts.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { live, story } from './stories.ts';

const runs = (numRuns: number) => ({ numRuns });

describe('whatever happens', () => {
  test('nothing throws, at most one thing is open, and an ended case keeps no timer', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside) => {
          for (const each of bedside.cases()) {
            expect(each.check !== null && each.question !== null).toBe(false);
            if (each.stage === 'ended')
              expect(each).toMatchObject({ timers: {}, check: null, question: null, call: null });
            if (each.stage === 'watching') expect(each.plan).not.toBeNull();
          }
        });
      }),
      runs(300),
    );
  });
  test("a case's timers are those that were set and not cleared", () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside) => {
          for (const { code, timers } of bedside.cases()) expect(timers).toEqual(bedside.timers(code));
        });
      }),
      runs(200),
    );
  });
  test('the stored events give the same case again', () => {
    fc.assert(
      fc.property(story, (told) => {
        const bedside = live(told, () => undefined);
        for (const { code } of bedside.cases()) expect(bedside.replayed(code)).toEqual(bedside.case(code));
      }),
      runs(200),
    );
  });
  test('every text to a helper is one SMS part, apart from what people write to each other', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (_bedside, sent) => {
          const ours = sent.filter(({ from, to }) => from === 'palmward' && to === 'helper');
          expect(ours.filter(({ text }) => measure(foldForSms(text)).parts !== 1)).toEqual([]);
        });
      }),
      runs(300),
    );
  });
  test('every text to a clinician is one SMS part, apart from what the helper wrote', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (_bedside, sent) => {
          const ours = sent.filter(({ from, to }) => from === 'palmward' && to !== 'helper');
          expect(ours.filter(({ text }) => measure(foldForSms(text)).parts !== 1)).toEqual([]);
        });
      }),
      runs(200),
    );
  });
  test('nobody is asked to move a digit whose tendon is assumed cut, or a limb that stays as it lies', () => {
    fc.assert(
      fc.property(story, (told) => {
        const words = (key: string) =>
          PROTOCOL.words.languages.map((language) => PROTOCOL.words.say(language, key));
        const moving = [
          'ask.fit.thumb-blocked',
          'ask.fit.fist-blocked',
          'check.alone.tense',
          'care.move',
          'plan.free',
          'fit.thumb-blocked',
          'fit.fist-blocked',
        ]
          .filter((key) => PROTOCOL.words.has(key))
          .flatMap(words)
          .map((text) => text.slice(0, 30));
        live(told, (bedside, sent) => {
          const [only, ...others] = bedside.cases();
          if (!only?.plan || others.length > 0) return;
          if (only.plan.cutDigits.length === 0 && only.plan.hold !== 'as-it-lies') return;
          expect(
            sent.filter(({ to, text }) => to === 'helper' && moving.some((words) => text.includes(words))),
          ).toEqual([]);
        });
      }),
      runs(300),
    );
  });
  test('an unclear answer is always followed by the open question', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside, sent, decisions, each) => {
          const unclear = decisions.at(-1)?.events.some(({ event }) => event.kind === 'unclear');
          const [only, ...others] = bedside.cases();
          if (each.do !== 'helper' || !unclear || !only || others.length > 0 || bedside.contact()?.optedOut)
            return;
          if (!only.check && !only.question) return;
          const asked = sent
            .filter(({ to }) => to === 'helper')
            .map(({ text }) => text)
            .join('\n');
          bedside.now += 1;
          const again = bedside.helper('AGAIN').join('\n');
          expect(asked).toContain(again.slice(0, 40));
        });
      }),
      runs(200),
    );
  });
  test('danger answered is never without advice: the helper is told something in the same turn', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside, sent, decisions, each) => {
          const answered = decisions.some(({ events }) =>
            events.some(({ event }) => event.kind === 'answered' || event.kind === 'counted'),
          );
          if (each.do !== 'helper' || !answered || bedside.contact()?.optedOut) return;
          expect(sent.filter(({ to }) => to === 'helper')).not.toEqual([]);
        });
      }),
      runs(200),
    );
  });
  test('an open call always has a timer that will ring again, and an accepted one has a holder', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside) => {
          for (const { call, timers } of bedside.cases()) {
            if (call?.state === 'open') expect(timers).toHaveProperty('ring');
            if (call?.state === 'accepted')
              expect(call).toMatchObject({ acceptedBy: expect.any(String), ringing: null });
          }
        });
      }),
      runs(300),
    );
  });
  test('a watch is never left without a way on: a check open, one to come, or a call', () => {
    fc.assert(
      fc.property(story, (told) => {
        live(told, (bedside) => {
          for (const { stage, check, timers, call } of bedside.cases())
            if (stage === 'watching')
              expect(
                check !== null ||
                  call !== null ||
                  ['check', 'recheck', 'skin', 'review'].some((name) => name in timers),
              ).toBe(true);
        });
      }),
      runs(300),
    );
  });
});
