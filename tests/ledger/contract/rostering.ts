// When clinicians are on call, and in which order they are called.
import { expect, test } from 'vitest';
import type { Duty } from '../../../src/shifts/types.ts';
import { aCase, aContact, aDecision, aMessage, NOON } from '../builders.ts';
import type { Open } from '../contract.ts';

const HELPER = 'sms:+12025550101';
const AMARA = { id: 'amara', name: 'Dr Amara', number: '+12025550190', language: 'en' };
const BO = { id: 'bo', name: 'Dr Bo', number: '+12025550191', language: 'uk' };
const CY = { id: 'cy', name: 'Dr Cy', number: '+12025550192', language: 'en' };
const NIGHTS: Duty = {
  zone: 'Europe/Kyiv',
  shifts: [{ weekday: 1, from: '20:00', to: '08:00' }],
  exceptions: [{ kind: 'off', from: NOON, to: NOON + 1 }],
};

export function rosteringContract(open: Open): void {
  test('a duty is kept as it was given, and with its clinician from then on', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    const seen: (Duty | null)[] = [];
    const keep = (duty: Duty) => (before: Duty | null) => {
      seen.push(before);
      return duty;
    };
    expect(await ledger.changeDuty('amara', keep(NIGHTS))).toBe(true);
    expect(await ledger.changeDuty('amara', keep({ ...NIGHTS, zone: 'UTC' }))).toBe(true);
    expect(seen).toEqual([null, NIGHTS]);
    expect(await (await open()).clinicians()).toEqual([
      { ...AMARA, place: 1, duty: { ...NIGHTS, zone: 'UTC' } },
    ]);
  });

  test('of nobody no duty is kept', async () => {
    const ledger = await open();
    expect(await ledger.changeDuty('amara', () => NIGHTS)).toBe(false);
  });

  test('a change that fails leaves the duty as it was', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    await ledger.changeDuty('amara', () => NIGHTS);
    const failing = ledger.changeDuty('amara', () => {
      throw new Error('no');
    });
    await expect(failing).rejects.toThrow('no');
    expect((await ledger.clinicians())[0]?.duty).toEqual(NIGHTS);
  });

  test('changes made at once by two processes are all kept', async () => {
    const [one, two] = [await open(), await open()];
    await one.enrol(AMARA, 'h1');
    const add = (weekday: number) => (before: Duty | null) => ({
      ...NIGHTS,
      shifts: [...(before?.shifts ?? []), { weekday, from: '20:00', to: '08:00' }],
    });
    await Promise.all([1, 2, 3, 4, 5, 6].map((day) => (day % 2 ? one : two).changeDuty('amara', add(day))));
    const [kept] = await one.clinicians();
    expect(new Set(kept?.duty?.shifts.map(({ weekday }) => weekday))).toEqual(new Set([1, 2, 3, 4, 5, 6]));
  });

  test('a clinician enrolled again keeps the duty', async () => {
    const ledger = await open();
    await ledger.enrol(AMARA, 'h1');
    await ledger.changeDuty('amara', () => NIGHTS);
    await ledger.enrol({ ...AMARA, name: 'Amara' }, 'h2');
    expect(await ledger.clinicians()).toEqual([{ ...AMARA, name: 'Amara', place: 1, duty: NIGHTS }]);
  });

  test('the rota is put in another order, and whoever is not named comes after', async () => {
    const ledger = await open();
    for (const one of [AMARA, BO, CY]) await ledger.enrol(one, 'h');
    await ledger.reorder(['cy']);
    expect((await ledger.clinicians()).map(({ id }) => id)).toEqual(['cy', 'amara', 'bo']);
    await ledger.reorder(['bo', 'cy', 'amara']);
    const places = (await ledger.clinicians()).map(({ id, place }) => [id, place]);
    expect(places).toEqual([
      ['bo', 1],
      ['cy', 2],
      ['amara', 3],
    ]);
    expect(await ledger.enrol({ ...AMARA, id: 'dee', number: '+12025550193' }, 'h')).toHaveProperty(
      'place',
      4,
    );
  });

  test('the next turn of the same process knows the new duty and the new order', async () => {
    const ledger = await open();
    for (const clinician of [AMARA, BO]) await ledger.enrol(clinician, 'h');
    const seen: unknown[] = [];
    const look = (id: string) =>
      ledger.take(aMessage(id, HELPER, ''), ({ clinicians }) => {
        seen.push(clinicians.map(({ id: name, duty }) => `${name} ${duty?.zone ?? '-'}`).join(', '));
        return aDecision({ contacts: [aContact(HELPER)], cases: [aCase(1, HELPER)] });
      });
    await look('SM1');
    await ledger.changeDuty('bo', () => NIGHTS);
    await look('SM2');
    await ledger.reorder(['bo']);
    await look('SM3');
    expect(seen).toEqual(['amara -, bo -', 'amara -, bo Europe/Kyiv', 'bo Europe/Kyiv, amara -']);
  });

  test('the next turn, in any process, knows the new duty and the new order', async () => {
    const [one, two] = [await open(), await open()];
    for (const clinician of [AMARA, BO]) await one.enrol(clinician, 'h');
    const seen: unknown[] = [];
    const look = (id: string, ledger = two) =>
      ledger.take(aMessage(id, HELPER, ''), ({ clinicians }) => {
        seen.push(clinicians.map(({ id: name, duty }) => [name, duty?.zone]));
        return aDecision({ contacts: [aContact(HELPER)], cases: [aCase(1, HELPER)] });
      });
    await look('SM0', one);
    await look('SM1');
    await one.changeDuty('amara', () => NIGHTS);
    await look('SM2');
    await look('SM3', one);
    await one.reorder(['bo']);
    await look('SM4');
    expect(seen).toEqual([
      [
        ['amara', undefined],
        ['bo', undefined],
      ],
      [
        ['amara', undefined],
        ['bo', undefined],
      ],
      [
        ['amara', 'Europe/Kyiv'],
        ['bo', undefined],
      ],
      [
        ['amara', 'Europe/Kyiv'],
        ['bo', undefined],
      ],
      [
        ['bo', undefined],
        ['amara', 'Europe/Kyiv'],
      ],
    ]);
  });
}
