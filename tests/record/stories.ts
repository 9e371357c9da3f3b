// Ten cases as helpers tell them, each lived through at the bedside, as they are handed over.
import { historyOf } from '../../src/care/history.ts';
import type { Case } from '../../src/care/types.ts';
import type { Recorded, Telling } from '../../src/record/recorded.ts';
import { tellIn } from '../../src/record/tell.ts';
import { CUT_FINGER, openBedside, WRIST, type Bedside } from '../care/bedside.ts';
import { PROTOCOL } from '../dialogue/protocol-under-test.ts';

/** What the ledger would hand over of a case at this moment. */
export function recordOf(bedside: Bedside, code = bedside.case().code): Recorded {
  const of: Case = bedside.case(code);
  const own = bedside.sent.filter((sent) => sent.code === code && sent.address === of.contact);
  return {
    case: of,
    protocol: PROTOCOL,
    history: historyOf(of, bedside.events(code), PROTOCOL),
    said: own.map(({ at, text, from, key }) => ({ at, text, by: from, key })),
    handed: [],
    at: bedside.now,
    utcOffset: 120,
  };
}

export function telling(bedside: Bedside, language = 'en'): Telling {
  return tellIn(recordOf(bedside), language);
}

function lived(...texts: string[]): Bedside {
  const bedside = openBedside();
  bedside.answers(...texts);
  return bedside;
}

/** The first count, card, the splint on and right. */
const FITTED = ['1 1 1 1', '4', 'DONE', '8'];

export const WHY = 'picture shows <more> drop & "swelling"';

function corrected(): Bedside {
  const bedside = lived(...WRIST, ...FITTED, '1 1 1 1 2');
  bedside.desk('ada', { do: 'take' });
  bedside.desk('ada', {
    do: 'correct',
    joints: [{ joint: 'wrist', direction: 'extension', degrees: [25, 35], aim: 30 }],
    reason: WHY,
  });
  bedside.desk('ada', { do: 'set-pace', pace: 'closer', reason: 'long way home' });
  bedside.desk('ada', { do: 'pause', hours: 6, reason: 'they sleep' });
  return bedside;
}

export const STORIES: Record<string, () => Bedside> = {
  'a wrist with a failed check, after one that loosened': () => {
    const bedside = lived(...WRIST, ...FITTED);
    bedside.after('10 min');
    bedside.helper('2.5 2 1 1 2');
    bedside.after('10 min');
    bedside.helper('4 1 1 1 2');
    bedside.clinician('ada', '1');
    bedside.clinician('ada', `${bedside.case().code} Open all straps and come in <now> & "fast"`);
    return bedside;
  },
  'an open break of a finger': () => lived('hello', '1', '6', '6', '3', '5 L', '1', '1'),
  'a bone that sticks out, told as a danger at once': () => lived('hello', '1', '4', '2 R'),
  'a mallet finger of a grown-up': () => lived('hello', '1', '6', '6', '1', '5 R', '3 E', '1', ...FITTED),
  'a burn of the back of the hand': () => lived('hello', '1', '6', '6', '5', '3 L', '2', ...FITTED),
  'a cut flexor of a finger, with the splint on': () => lived(...CUT_FINGER, ...FITTED),
  'several places: wrist and ring finger': () =>
    lived('hello', '1', '6', '6', '1', '2 5 R', '1', '4 A', '5', ...FITTED),
  'two cuts, on a wrist and a finger': () =>
    lived('hello', '1', '6', '6', '3', '2 5 R', '3', '1', '2', '3', '2', '2', '3 C'),
  'places that ask for opposite positions': () => lived('hello', '1', '6', '6', '3', '3 R', '4'),
  'a child with a sore wrist': () => lived('hello', '1', '6', '6', '1', '2 L C', '1', ...FITTED),
  'a chat in Spanish': () => {
    const bedside = openBedside({ language: 'es' });
    for (const text of ['hola', '1', '6', '6', '1', '2 D', '1', '1 1 1 1', '4', 'LISTO', '8'])
      bedside.text('chat:5f0c2a9be1d34c6f8a7b', text);
    return bedside;
  },
  'a bitten knuckle, asked about tetanus and nerves': () => {
    const bedside = lived('hello', '1', '6', '6', '4', '1', '3 R', '2', '2', '4', ...FITTED);
    bedside.after('1 d');
    bedside.helper('1 1 1 1 2');
    return bedside;
  },
  'a wrist that a clinician corrected, with the checks paused': () => corrected(),
  'a corrected wrist, ended as healed': () => {
    const bedside = corrected();
    bedside.desk('ada', { do: 'conclude', outcome: 'healed' });
    return bedside;
  },
  'questions still being asked': () => lived('hello', '1', '6'),
};
