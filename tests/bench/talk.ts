// The conversation that is measured: a closed wrist, from the first text over the plan to the first good check.
import type { Case } from '../../src/care/types.ts';
import { openHouse, type House } from '../../src/main.ts';
import { inFolder } from './child.ts';
import { settingsOf } from './posts.ts';

export const TALK = [
  'Hello, my friend fell and hurt the wrist',
  '1',
  '6',
  '6',
  '1',
  '2 R',
  '1',
  '2 2 1 1',
  '3',
  'done',
  '8',
  '2 2 1 1 2',
];

/** Holds the conversation as far as `texts` go, and gives back the case. */
export async function talked({ receive, ledger }: House, address: string, texts: string[]): Promise<Case> {
  for (const [turn, text] of texts.entries())
    await receive({ id: `${address} ${turn}`, address, text, pictures: 0 });
  const contact = await ledger.contact(address);
  const found = await ledger.case(contact?.open[0] ?? '');
  if (!found) throw new Error('the conversation opened no case');
  return found;
}

/** Throws where the tree has changed, so that these answers no longer lead to a good check: then other turns are measured. */
export function proveTalk(): Promise<void> {
  return inFolder(async (folder) => {
    const house = await openHouse(settingsOf(folder), true, { quiet: true });
    const { checks } = await talked(house, 'sms:+12025550101', TALK);
    await house.close();
    if (checks.at(-1)?.verdict.outcome !== 'good' || checks.length !== 2)
      throw new Error('the answers in talk.ts do not lead to a good check any more');
  });
}
