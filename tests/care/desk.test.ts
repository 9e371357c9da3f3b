// A clinician at the desk: takes a case, passes it on, speaks first, corrects, changes the watch, ends it.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checkCorrection } from '../../src/clinical/correct.ts';
import { refusalOf } from '../../src/care/desk-refusal.ts';
import type { Case, DeskAct } from '../../src/care/types.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';
import { openBedside, type Bedside } from './bedside.ts';

const TO_THE_WATCH = ['hello', '1', '6', '6', '1', '2 R', '1', '2 1 1 1', 'card', 'DONE', '8'];

/** A wrist in the watch whose first check was good. */
function watched(): Bedside {
  const bed = openBedside();
  bed.answers(...TO_THE_WATCH, '2 1 1 1 2');
  return bed;
}

function refused(bed: Bedside, clinician: string, act: DeskAct) {
  const known = {
    at: bed.now,
    rules: PROTOCOL.rules,
    clinicians: bed.rota,
    optedOut: bed.contact()?.optedOut ?? false,
  };
  return refusalOf(bed.case(), clinician, act, known);
}

/** As the desk does it: what is refused is not done. Gives back what was texted, and to whom. */
function acts(bed: Bedside, clinician: string, act: DeskAct): string[] {
  if (refused(bed, clinician, act) !== null) throw new Error(`refused: ${refused(bed, clinician, act)}`);
  return bed.happens({ kind: 'desk', clinician, act }).map(({ to, text }) => `${to}: ${text}`);
}

const toHelper = (said: string[]) => said.filter((each) => each.startsWith('helper: ')).join('\n');

describe('a case at the desk', () => {
  test('is taken although nobody called: the helper hears who has it, and nobody else can take it', () => {
    const bed = watched();
    expect(toHelper(acts(bed, 'ada', { do: 'take' }))).toMatch(/has your case/);
    expect(bed.case().call).toMatchObject({ state: 'accepted', acceptedBy: 'ada', reasons: ['taken'] });
    expect(refused(bed, 'ben', { do: 'take' })).toBe('held-by-another');
    expect(refused(bed, 'ben', { do: 'conclude', outcome: 'seen' })).toBe('held-by-another');
  });

  test('that rings is taken by whoever sees it first: the one who was rung hears so, the one at the desk sees it', () => {
    const bed = watched();
    bed.helper('CARE');
    const said = acts(bed, 'ben', { do: 'take' });
    expect(said.filter((each) => each.startsWith('ben: '))).toEqual([]);
    expect(said.join('\n')).toMatch(/^ada: .*is with/m);
  });

  test('is passed on to a certain clinician, who is rung first; silence goes on to the next', () => {
    const bed = openBedside({ rota: ['ada', 'ben', 'cy'] });
    bed.answers(...TO_THE_WATCH, '2 1 1 1 2');
    acts(bed, 'ada', { do: 'take' });
    expect(acts(bed, 'ada', { do: 'pass', to: 'cy' }).join('\n')).toMatch(/^cy: .*asks you to take it/m);
    expect(bed.case().call).toMatchObject({ state: 'open', ringing: 'cy', acceptedBy: null });
    bed.after('6 min');
    expect(bed.case().call?.ringing).toBe('ben');
    expect(refused(bed, 'cy', { do: 'pass', to: 'nobody' })).toBe('no-clinician');
  });

  test('is put down, and the program goes on with the checks', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    acts(bed, 'ada', { do: 'put-down' });
    expect(bed.case().call).toBeNull();
    expect(bed.timers()['check']).toBeDefined();
    expect(refused(bed, 'ada', { do: 'check-now' })).toBe('not-held');
  });

  test('ends with an outcome that the helper hears, and that stays on record', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    expect(toHelper(acts(bed, 'ada', { do: 'conclude', outcome: 'handed-on' }))).toMatch(/taken over/);
    expect(bed.cases()[0]).toMatchObject({ stage: 'ended', endedAs: 'handed-on', timers: {} });
  });
});

describe('a plan', () => {
  const joints = (of: Case, change: (degrees: [number, number]) => [number, number]) =>
    of.plan!.position.map(({ source: _source, ...held }) => {
      const degrees = change(held.degrees);
      return { ...held, degrees, aim: Math.min(Math.max(held.aim, degrees[0]), degrees[1]) };
    });

  test('is corrected: the helper gets the new one, the old one and the reason stay on record', () => {
    const bed = watched();
    const before = bed.case().plan!;
    acts(bed, 'ada', { do: 'take' });
    const wanted = joints(bed.case(), ([from]) => [from, from + 2]);
    const said = toHelper(acts(bed, 'ada', { do: 'correct', joints: wanted, reason: 'swollen' }));
    expect(said).toMatch(/new plan counts/);
    const after = bed.case();
    expect(after.plan?.position.map(({ degrees }) => degrees)).toEqual(wanted.map(({ degrees }) => degrees));
    expect(after.plan?.position.every(({ source }) => source === 'clinician')).toBe(true);
    expect(after.corrections).toMatchObject([{ by: 'ada', reason: 'swollen', before }]);
    expect(after.plan?.splints).toEqual(before.splints);
    expect(bed.replayed(after.code)).toEqual(after);
  });

  test('is never corrected beyond normal motion, by whatever degrees', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    const degree = fc.integer({ min: -200, max: 200 });
    fc.assert(
      fc.property(degree, degree, (from, to) => {
        const wanted = joints(bed.case(), () => [from, to]);
        const { faults } = checkCorrection(bed.case().plan!, bed.case().findings!, wanted, PROTOCOL.rules);
        const refusal = refused(bed, 'ada', { do: 'correct', joints: wanted, reason: 'x' });
        expect(refusal).toBe(faults.length > 0 ? 'faulty-plan' : null);
        if (refusal === null) expect(from >= -80 && to <= 90 && from <= to).toBe(true);
      }),
    );
  });
});

describe('the watch', () => {
  test('rests for some hours and then asks by itself; worse ends the rest at once', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    const rest: DeskAct = { do: 'pause', hours: 2, reason: 'on the road' };
    expect(toHelper(acts(bed, 'ada', rest))).toMatch(/rest for 2 h/);
    const quiet = bed.after('119 min').filter(({ to }) => to === 'helper');
    expect(quiet.filter(({ key }) => key.startsWith('check.'))).toEqual([]);
    expect(bed.after('2 min').map(({ key }) => key)).toContain('check.ask');
    bed.helper('2 1 1 1 2');
    acts(bed, 'ada', rest);
    expect(bed.helper('WORSE').join('\n')).toMatch(/Check\./);
    expect(bed.timers()['pause']).toBeUndefined();
  });

  test('is made closer at once, and wider only late and after a good check', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    const planned = bed.timers()['check']!;
    acts(bed, 'ada', { do: 'set-pace', pace: 'closer', reason: 'swelling' });
    expect(bed.timers()['check']!).toBeLessThanOrEqual(planned);
    expect(refused(bed, 'ada', { do: 'set-pace', pace: 'wider', reason: 'x' })).toBe('too-early');
    bed.helper('4 1 1 1 2');
    bed.after('5 h');
    expect(refused(bed, 'ada', { do: 'set-pace', pace: 'wider', reason: 'x' })).toBe('not-well');
  });

  test('loses no check, whatever is done at the desk in whatever order', () => {
    const act = fc.constantFrom<DeskAct>(
      { do: 'take' },
      { do: 'put-down' },
      { do: 'pass', to: 'ben' },
      { do: 'hold-back', on: true },
      { do: 'check-now' },
      { do: 'set-pace', pace: 'closer', reason: 'x' },
      { do: 'set-pace', pace: 'planned', reason: 'x' },
      { do: 'set-pace', pace: 'wider', reason: 'x' },
      { do: 'pause', hours: 1, reason: 'x' },
      { do: 'resume' },
    );
    const step = fc.oneof(
      fc.tuple(fc.constantFrom('ada', 'ben'), act).map(([who, what]) => ({ who, what })),
      fc.constantFrom(
        { helper: '2 1 1 1 2' },
        { helper: '4 1 1 1 2' },
        { helper: 'WORSE' },
        { after: '25 min' },
        { after: '3 h' },
      ),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 14 }), (steps) => {
        const bed = watched();
        for (const each of steps) {
          if ('who' in each) {
            if (refused(bed, each.who, each.what) === null) acts(bed, each.who, each.what);
          } else if ('helper' in each) bed.helper(each.helper);
          else bed.after(each.after);
          const { check } = bed.case();
          const asks = ['check', 'recheck', 'silent', 'pause', 'skin'].some(
            (timer) => bed.timers()[timer] !== undefined,
          );
          expect(check !== null || asks).toBe(true);
        }
        expect(bed.replayed(bed.case().code)).toEqual(bed.case());
      }),
      { numRuns: 60 },
    );
  });
});

describe('what the program would say goes past the clinician', () => {
  test('what can wait waits, is sent or not as they say, and goes out by itself after ten minutes', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    acts(bed, 'ada', { do: 'hold-back', on: true });
    bed.after('16 min');
    expect(bed.helper('2 1 1 1 2').join('\n')).not.toMatch(/Good/);
    const [held] = bed.case().heldBack ?? [];
    expect(held?.says.length).toBeGreaterThan(0);
    const sent = bed.after('11 min').filter(({ to }) => to === 'helper');
    expect(sent.length).toBeGreaterThan(0);
    expect(bed.case().heldBack).toBeUndefined();
  });

  test('checks, and what follows from one that is not good, never wait', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    acts(bed, 'ada', { do: 'hold-back', on: true });
    expect(bed.after('20 min').map(({ key }) => key)).toContain('check.ask');
    expect(bed.helper('3 2 1 1 2').join('\n')).toMatch(/[Ll]oosen|Open/);
  });

  test('putting the case down lets out what still waits', () => {
    const bed = watched();
    acts(bed, 'ada', { do: 'take' });
    acts(bed, 'ada', { do: 'hold-back', on: true });
    bed.after('16 min');
    bed.helper('2 1 1 1 2');
    expect(toHelper(acts(bed, 'ada', { do: 'put-down' }))).toMatch(/Good/);
    expect(bed.case().holdsBack).toBeUndefined();
  });
});
