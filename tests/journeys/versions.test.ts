// The protocol changes while cases run: each ends under the version it began with; a withdrawn one brings in a person.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { tellWithdrawn, withdrawnFact } from '../../src/mailroom/withdraw.ts';
import { readProtocolFiles, versionOf } from '../../src/protocol-files.ts';
import { HELPER, NURSE_ADA, enrolled, openStage, type Stage } from './stage.ts';
import { PATIENTLY } from '../patience.ts';

const OTHER = '+12025550102';
const OLD = readProtocolFiles();
/** The same protocol, but a broken wrist is for today, and the last question of a wrist has other words. */
const NEW = OLD.map(({ path, text }) => {
  const changed = text
    .replace(/(id: wrist-break\n[\s\S]*?\n    calendar: wrist\n)/, '$1    urgency: today\n')
    .replace(/(?<=^wrist-look:\n  text: ).*$/m, '"{{place}}: the new question."');
  return { path, text: changed };
});

/** As it was before there were pictures. */
const BEFORE = OLD.map(({ path, text }) => ({ path, text: text.replace(/^no-picture: .*\n/m, '') }));

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
  await enrolled(stage, 'Ada Quill', NURSE_ADA);
});
afterEach(() => stage.close());

const toWrist = async (phone: string) => {
  let last: string[] = [];
  for (const body of ['hello', '1', '6', '6', '1', '2 R']) last = await stage.text(phone, body);
  return last.join('\n');
};
const caseOf = async (phone: string) =>
  (await stage.house.ledger.openCases(9)).find(({ contact }) => contact === `sms:${phone}`);
const withdrawals = async (code: string) =>
  (await stage.house.ledger.events(code)).filter(({ event }) => event.kind === 'version-withdrawn').length;

test('a case begun under the old version is asked and planned as that version has it; a new case as the new one has it', async () => {
  expect(versionOf(NEW)).not.toBe(versionOf(OLD));
  expect(await toWrist(HELPER)).not.toMatch(/the new question/);
  await stage.restart(NEW);
  expect((await stage.text(HELPER, 'again')).join('\n')).not.toMatch(/the new question/);
  await stage.text(HELPER, '1');
  expect(await caseOf(HELPER)).toMatchObject({ version: versionOf(OLD), plan: { urgency: 'soon' } });

  expect(await toWrist(OTHER)).toMatch(/the new question/);
  await stage.text(OTHER, '1');
  expect(await caseOf(OTHER)).toMatchObject({ version: versionOf(NEW), plan: { urgency: 'today' } });
  await stage.restart(NEW);
  await stage.text(HELPER, '2 1 1 1');
  await stage.text(HELPER, '4');
  expect(await caseOf(HELPER)).toMatchObject({ version: versionOf(OLD), plan: { urgency: 'soon' } });
});

test('what the program says only since a newer version is said in its words, also to a case of the older one', async () => {
  await stage.restart(BEFORE);
  await toWrist(HELPER);
  await stage.restart(OLD);
  expect(await stage.text(HELPER, 'picture')).toContainEqual(
    expect.stringMatching(/^There is no picture yet/),
  );
  expect(await caseOf(HELPER)).toMatchObject({ version: versionOf(BEFORE) });
});

test('a withdrawn version brings a clinician into every open case under it, exactly once, and into no other', async () => {
  await toWrist(HELPER);
  await stage.restart(NEW);
  await toWrist(OTHER);
  const { ledger, world } = stage.house;
  expect(await tellWithdrawn(ledger, world)).toBe(0);
  await ledger.keepFact(withdrawnFact(versionOf(OLD)), 'wrist too far back');

  expect(await Promise.all([tellWithdrawn(ledger, world), tellWithdrawn(ledger, world)])).toContain(1);
  expect(await tellWithdrawn(ledger, world)).toBe(0);
  const [old, other] = [(await caseOf(HELPER))!, (await caseOf(OTHER))!];
  expect(old.call).toMatchObject({ state: 'open', urgency: 'today', reasons: ['version-withdrawn'] });
  expect(other.call).toBeNull();
  expect([await withdrawals(old.code), await withdrawals(other.code)]).toEqual([1, 0]);
  expect(await stage.newTexts(NURSE_ADA)).toEqual([expect.stringMatching(/TODAY.*protocol withdrawn/)]);
});

test('what begins under a withdrawn version gets no position: the hand stays as it lies, is watched, and a clinician is called', async () => {
  const { ledger, world } = stage.house;
  await ledger.keepFact(withdrawnFact(versionOf(OLD)), 'wrist too far back');
  await tellWithdrawn(ledger, world);
  expect((await stage.text(HELPER, 'hello')).join('\n')).toMatch(/A nurse is texted now[^]*\n1 /);
  let said = '';
  for (const body of ['1', '6', '6', '1', '2 R', '1']) said = (await stage.text(HELPER, body)).join('\n');
  expect(said).toMatch(/position is being checked, so we give none now/);
  expect(said).toMatch(/Leave it as it lies[^]*Press a soft fingertip/);
  expect(said).not.toMatch(/palm down|Forearm|splint on/i);
  expect(await caseOf(HELPER)).toMatchObject({
    stage: 'watching',
    plan: { hold: 'as-it-lies', position: [], splints: [], calendar: 'limb', urgency: 'today' },
    call: { state: 'open', reasons: expect.arrayContaining(['version-withdrawn']) as string[] },
  });
  expect(await withdrawals((await caseOf(HELPER))!.code)).toBe(0);
});

test('nor does a case that was being asked, or was about to get its splint, when its version was withdrawn', async () => {
  await toWrist(HELPER);
  await toWrist(OTHER);
  await stage.text(OTHER, '1');
  const { ledger, world } = stage.house;
  await ledger.keepFact(withdrawnFact(versionOf(OLD)), 'wrist too far back');
  expect(await tellWithdrawn(ledger, world)).toBe(2);
  const planned = [await stage.text(HELPER, '1'), await stage.text(OTHER, '2 2 1 1')];
  for (const texts of planned) expect(texts.join('\n')).toMatch(/we give none now[^]*Leave it as it lies/);
  for (const phone of [HELPER, OTHER])
    expect(await caseOf(phone)).toMatchObject({
      plan: { hold: 'as-it-lies', splints: [] },
      stage: 'watching',
    });
});

test('it is known after a restart, and said to whoever looks after the server, until another version is in force', async () => {
  const lines: string[] = [];
  const logged = await openStage({}, undefined, false, { write: (line) => void lines.push(line) });
  const figure = async (of: Stage) =>
    /^palmward_protocol_withdrawn (.*)$/m.exec(await (await of.get('/metrics')).text())?.[1];
  try {
    expect(await figure(logged)).toBe('0');
    await logged.house.ledger.keepFact(withdrawnFact(versionOf(OLD)), 'wrist too far back');
    await logged.restart();
    expect(await figure(logged)).toBe('1');
    await logged.live('10s');
    logged.house.startLoops();
    await vi.waitFor(() => expect(lines.join()).toContain('the protocol in force is withdrawn'), PATIENTLY);
    await logged.restart(NEW);
    expect(await figure(logged)).toBe('0');
  } finally {
    await logged.close();
  }
});

test('it is told at the next start too, and not again after the clinician has ended the call, nor after a restart', async () => {
  await toWrist(HELPER);
  await stage.house.ledger.keepFact(withdrawnFact(versionOf(OLD)), 'wrist too far back');
  await stage.restart(NEW);
  expect(await tellWithdrawn(stage.house.ledger, stage.house.world)).toBe(1);
  const { code } = (await caseOf(HELPER))!;
  await stage.text(NURSE_ADA, '1');
  await stage.text(NURSE_ADA, `${code} OVER`);
  expect((await caseOf(HELPER))?.call).toBeNull();
  await stage.restart(NEW);
  expect(await tellWithdrawn(stage.house.ledger, stage.house.world)).toBe(0);
  expect(await withdrawals(code)).toBe(1);
});
