// Background: who, since when, how, the skin, tetanus, how far from care, and what the other hand is worth as a measure.
import { answerInWords, byPlace, foundIn, known, skinOf } from './findings.ts';
import { momentOf } from './moments.ts';
import type { Telling } from './recorded.ts';
import type { Row } from './rows.ts';

export function background(telling: Telling): Row[] {
  const { say, case: of, history } = telling;
  const { age, sex } = foundIn(telling);
  const notTold = say('record.not-told');
  return [
    ['age', age ? say(`record.age.${age}`) : notTold],
    ['sex', sex ? say(`record.sex.${sex}`) : notTold],
    ['hours', hoursInWords(telling)],
    ['cause', byPlace(telling, ({ cause }) => (cause ? say(`record.cause.${cause}`) : null))],
    ['skin', skinInWords(telling)],
    ['tetanus', answerInWords(telling, 'tetanus', known(of.facts['tetanus']))],
    ['distance', answerInWords(telling, 'distance', known(of.facts['distance']))],
    ['other-hand', say(`record.other-hand.${history.otherHandHurt ? 'hurt' : 'compared'}`)],
  ];
}

function hoursInWords(telling: Telling): string {
  const { say, case: of, history } = telling;
  const told = known(of.facts['hours']);
  if (told === 'not-told') return say('record.hours.begun', { time: momentOf(telling, of.openedAt) });
  const time = momentOf(telling, history.answeredAt['hours'] ?? of.openedAt);
  return answerInWords(telling, 'hours', told, { time });
}

function skinInWords(telling: Telling): string {
  const { say } = telling;
  return byPlace(telling, (site) => {
    const skin = say(`record.skin.${skinOf(site)}`);
    return site.face && !site.notKnown?.includes('face')
      ? `${skin}, ${say(`record.face.${site.face}`)}`
      : skin;
  });
}
