// One case at the desk: what its page tells, and what is done with it by plain forms, on the real ledger.
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import {
  ADA,
  ELISA,
  openPractice,
  PASSPHRASE,
  type Practice,
  WRIST_WATCHED,
} from '../record/practice-house.ts';
import { cookiesOf, hidden, post } from './house.ts';

/** A wrist, told in Spanish, and a person asked for. */
const CALLED_ES = ['hola', '1', '6', '6', '1', '2 R', '1', '1 1 1 1', '4', 'LISTO', 'PERSONA'];
let practice: Practice;
let ada: string;
let elisa: string;
let code: string;
let phones = 0;
const phone = () => `+12025550${100 + phones}`;

async function signIn(number: string): Promise<string> {
  const shown = await fetch(`${practice.address}/duty/sign-in`);
  const form = { token: hidden(await shown.text(), 'token'), number, passphrase: PASSPHRASE, code: '' };
  return cookiesOf(await post(`${practice.address}/duty/sign-in`, form, { cookie: cookiesOf(shown) }));
}

beforeAll(async () => {
  practice = await openPractice();
  [ada, elisa] = [await signIn(ADA.number), await signIn(ELISA.number)];
});
afterAll(() => practice?.close());
beforeEach(async () => {
  phones += 1;
  code = await practice.lives(phone(), WRIST_WATCHED);
});

const at = (rest = '') => `${practice.address}/duty/cases/${code}${rest}`;
const page = async (cookie = ada, rest = '') =>
  (await fetch(at(rest), { headers: { cookie, 'accept-language': 'en' }, redirect: 'manual' })).text();
async function act(form: Record<string, string>, cookie = ada, rest = '/act'): Promise<Response> {
  const token = hidden(await page(cookie), 'token');
  return post(at(rest), { token, ...form }, { cookie });
}
async function heard(): Promise<string[]> {
  const thread = await practice.house.ledger.thread(`phone:${phone()}`, 0);
  return thread.filter(({ direction }) => direction === 'out').map(({ text }) => text ?? '');
}
const deeds = async () =>
  (await practice.house.ledger.deedsAbout(code, 50)).map(({ who, did }) => `${who} ${did}`);

test('the page tells what is needed now, who has it, what is timed, and every number’s reason and source in words', async () => {
  const shown = await page();
  for (const words of [
    'right wrist',
    'Call, now',
    'no answer from helper',
    'Take this case',
    'maybe broken wrist',
    'BOAST 16',
    'straps loosened',
    'limit 2 s',
    'on the practice phone · 1 part',
    'The next clinician is rung',
    'A clinician was called',
  ])
    expect(shown).toContain(words);
  expect(shown).toMatch(/<svg[^>]*>\s*<title>Refill in seconds over time/);
  expect(shown).not.toMatch(/\sstyle=|<script(?![^>]*src=)|\+1202555/);
});

test('a failed check is said first for as long as none was good since, and that the hand is to be seen at once', async () => {
  const cart = '+12025550188';
  const good = ['hello', '1', '6', '6', '1', '2 R', '1', '1 1 1 1', '4', 'DONE', '8', '1 1 1 1 2'];
  code = await practice.lives(cart, [...good, '+10', '5 1 2 2 3', '+6']);
  await act({ do: 'take' });
  const failed = await page();
  expect(failed).toMatch(/class="headline loud"><strong>The last circulation check failed/);
  expect(failed).toMatch(/To be seen by a clinician<\/dt>\s*<dd[^>]*>at once/);
  // Taken this minute, six after the call.
  expect(failed).toMatch(/You have it, since [\s\S]{0,120}this minute/);
  await practice.lives(cart, ['+4']);
  const better = { id: 'better', address: `phone:${cart}`, text: '1 1 1 1 2', pictures: 0 };
  await practice.house.receive(better);
  expect((await practice.house.ledger.case(code))?.checks.at(-1)?.verdict.outcome).toBe('good');
  expect(await page()).not.toContain('The last circulation check failed');
});

test('of two who take a case one has it, and the other is told who', async () => {
  expect((await act({ do: 'take' })).headers.get('location')).toBe(`/duty/cases/${code}#write`);
  expect(await page()).toContain('You have it');
  const second = await act({ do: 'take' }, elisa);
  expect([second.status, await second.text()]).toEqual([409, expect.stringContaining('Ada Quill')]);
  expect((await practice.house.ledger.case(code))?.call?.acceptedBy).toBe(ADA.id);
  expect((await heard()).at(-1)).toBe('Ada Quill has your case now and reads what you text here.');
  expect(await deeds()).toContain('c-ada took a case');
  expect(await deeds()).not.toContain('c-elisa took a case');
});

test('what a clinician writes reaches the helper marked as theirs, and is kept when it is refused', async () => {
  await act({ do: 'take' });
  expect((await act({ do: 'write', text: 'Open the <b>top</b> strap.' })).status).toBe(303);
  expect((await heard()).at(-1)).toBe('Ada Quill: Open the <b>top</b> strap.');
  expect(await page()).toContain('Written by a clinician to the helper');
  expect(await page()).not.toContain('<b>top</b>');
  const long = 'Keep it up. '.repeat(26);
  const refused = await act({ do: 'write', text: long });
  expect(refused.status).toBe(400);
  expect(await refused.text()).toContain(long.trim());
  expect((await act({ do: 'write', text: '  ' })).status).toBe(400);
  expect((await heard()).at(-1)).toBe('Ada Quill: Open the <b>top</b> strap.');
});

test('before sending, parts and cost are told with the name in front, and a phrase comes in the helper’s language', async () => {
  await act({ do: 'take' });
  const looked = await (await act({ do: 'write', text: 'a'.repeat(149), look: 'yes' })).text();
  expect(looked).toContain('1 SMS part, 160 characters');
  const longer = await (await act({ do: 'write', text: 'a'.repeat(150) }, ada, '/measure')).text();
  expect(longer).toContain('2 SMS parts, 161 characters');
  expect(longer).toContain('0.02');
  const phrased = await (await act({ do: 'write', text: 'Well done.', insert: 'plan.no-force' })).text();
  expect(phrased).toMatch(/>\s*Well done. Do not force. More pain\? Leave it as it lies.<\/textarea/);
  expect(await (await act({ do: 'write', text: 'x', insert: 'call.ring' })).text()).toMatch(
    />\s*x<\/textarea/,
  );
});

test('where the helper’s language is another, the clinician sees that nothing is translated', async () => {
  phones += 1;
  code = await practice.lives(phone(), CALLED_ES);
  await act({ do: 'take' });
  expect(await page()).toContain('The helper writes in Spanish. Your words go out as you write them');
  const phrased = await (await act({ do: 'write', text: '', insert: 'plan.no-force' })).text();
  expect(phrased).toContain('Leave it as it lies');
  expect(phrased).toMatch(/<textarea[^>]*>\s*No fuerces/);
  expect(await page(elisa)).not.toContain('nothing is translated');
});

test('nobody writes or ends what they do not hold, and a form without the page’s token does nothing', async () => {
  const refused = await act({ do: 'write', text: 'Hold on.' });
  expect([refused.status, await refused.text()]).toEqual([409, expect.stringContaining('Take it first')]);
  expect((await act({ do: 'take', token: 'forged' })).status).toBe(403);
  expect((await act({ do: 'fly' })).status).toBe(400);
  expect((await post(at('/act'), { do: 'take' })).headers.get('location')).toMatch(/^\/duty\/sign-in/);
  expect((await practice.house.ledger.case(code))?.call?.acceptedBy).toBeNull();
  expect((await heard()).join()).not.toContain('Hold on.');
});

test('ending a case is asked once more', async () => {
  await act({ do: 'take' });
  const asked = await act({ do: 'conclude', outcome: 'seen' });
  expect([asked.status, await asked.text()]).toEqual([
    200,
    expect.stringContaining('End it as: seen at a facility?'),
  ]);
  expect((await practice.house.ledger.case(code))?.stage).toBe('watching');
  expect((await act({ do: 'conclude', outcome: 'seen', sure: 'yes' })).status).toBe(303);
  expect((await practice.house.ledger.case(code))?.stage).toBe('ended');
  expect(await deeds()).toContain('c-ada ended a case as seen');
  expect(await page()).not.toContain('<form method="post" action="/duty/cases');
});

test('a correction is looked at before it is sent: the drawing follows, conflicts are named, faults and no reason refuse', async () => {
  await act({ do: 'take' });
  const first = await page(ada, '/correct');
  expect(first).toContain('No conflict was found.');
  const wrist = {
    'wrist-held': 'yes',
    'wrist-direction': 'flexion',
    'wrist-aim': '30',
    'wrist-from': '20',
    'wrist-to': '40',
  };
  const looked = await (await act(wrist, ada, '/correct/look')).text();
  expect(looked).toContain('wrist: outside what &#34;maybe broken wrist&#34; asks for (BOAST 16');
  expect(looked).toContain('wrist bent 30°');
  const free = await (
    await act(
      {
        ...wrist,
        'thumb.ip-held': 'yes',
        'thumb.ip-direction': 'flexion',
        'thumb.ip-aim': '0',
        'thumb.ip-from': '0',
        'thumb.ip-to': '10',
      },
      ada,
      '/correct/look',
    )
  ).text();
  expect(free).toContain('thumb IP must keep moving and would be held');
  const faulty = await act({ ...wrist, 'wrist-to': '95', reason: 'swelling' }, ada, '/correct');
  expect([faulty.status, await faulty.text()]).toEqual([
    400,
    expect.stringContaining('wrist: outside normal motion'),
  ]);
  const unread = await (await act({ ...wrist, 'wrist-to': 'x' }, ada, '/correct/look')).text();
  expect(unread).toContain('wrist: whole degrees are missing');
  const noReason = await act(wrist, ada, '/correct');
  expect([noReason.status, await noReason.text()]).toEqual([
    400,
    expect.stringContaining('A reason is needed'),
  ]);
  expect((await practice.house.ledger.case(code))?.plan?.position[0]?.aim).toBe(15);
});

test('the page’s news come to whoever is signed in, without counting as use, and a part that is the same has the same mark', async () => {
  expect((await fetch(at('/live'))).status).toBe(401);
  const mark = (markup: string, id: string) =>
    new RegExp(`id="${id}"[^>]*data-(?:live|still)="([^"]+)"`).exec(markup)?.[1];
  const before = await page(ada, '/live');
  await practice.house.receive({
    id: `late-${code}`,
    address: `phone:${phone()}`,
    text: 'it <i>hurts</i>',
    pictures: 0,
  });
  const after = await page(ada, '/live');
  expect(after).toContain('it &#60;i&#62;hurts');
  expect(mark(after, 'talk')).not.toBe(mark(before, 'talk'));
  expect(mark(after, 'plan')).toBe(mark(before, 'plan'));
  expect((await deeds()).filter((did) => did === 'c-ada saw a case')).toEqual([]);
});
