// What is to be said → texts in the reader's language, each one message: gaps filled, neighbours joined where they fit.
import { printQuestion } from '../dialogue/print.ts';
import { foldForSms } from '../wording/fold.ts';
import { joinIfFits } from '../wording/compose.ts';
import { measure } from '../wording/parts.ts';
import { callParams } from './call-words.ts';
import { placesOf, planTexts } from './plan-texts.ts';
import type { Protocol } from './protocol.ts';
import type { Case, Clinician, Filling, Saying } from './types.ts';

/** Who reads, in which language, and about which case. */
export interface Reader {
  language: string;
  protocol: Protocol;
  case: Case;
  /** The clinician who is told, or whom the helper is told of. */
  clinician: Clinician | null;
  /** The case's code goes in front where the reader has several cases. */
  withCode: boolean;
  /** Where a case's drawing can be opened; null where no link can be sent, or none is needed. */
  planLink: ((code: string) => string) | null;
}

/** A text, and the key of what stands first in it. */
export interface Spoken {
  key: string;
  text: string;
}

/** The texts for these sayings, in order. */
export function speak(says: Saying[], reader: Reader): Spoken[] {
  const spoken = says.flatMap((saying) => textsOf(saying, reader));
  return joined(spoken, reader.withCode ? `${reader.case.code}: ` : '');
}

function joined(spoken: Spoken[], prefix: string): Spoken[] {
  const texts: Spoken[] = [];
  for (const one of spoken) {
    const before = texts.at(-1);
    const both = before ? joinIfFits([before.text, one.text], 160 - prefix.length) : [];
    if (before && both.length === 1 && both[0] !== undefined)
      texts[texts.length - 1] = { key: before.key, text: both[0] };
    else texts.push(one);
  }
  return texts.flatMap(({ key, text }) => withPrefix(prefix, text).map((each) => ({ key, text: each })));
}

// A text that the code in front makes too long goes in two, cut at the end of a line or a sentence.
function withPrefix(prefix: string, text: string): string[] {
  const fits = (piece: string) => measure(foldForSms(`${prefix}${piece}`)).parts <= 1;
  if (prefix === '' || fits(text)) return [`${prefix}${text}`];
  const ends = [...text.matchAll(/\n|[.?!] /g)].map(({ index }) => index + 1);
  const cut = ends.findLast((end) => fits(text.slice(0, end).trimEnd()));
  if (cut === undefined) return [`${prefix}${text}`];
  return [`${prefix}${text.slice(0, cut).trimEnd()}`, ...withPrefix(prefix, text.slice(cut).trimStart())];
}

function textsOf(saying: Saying, reader: Reader): Spoken[] {
  const say = sayer(reader);
  if ('plan' in saying) return planPart(saying.plan, reader.case, say);
  if ('key' in saying && saying.key === 'talk.offer-picture' && !reader.planLink) return [];
  if ('key' in saying && saying.key === 'talk.picture') return [pictureText(reader, say)];
  if ('ask' in saying)
    return [{ key: `ask.${saying.ask}`, text: questionText(saying.ask, saying.only, reader) }];
  // Only the texts about a call name the case: the others are spared the look-ups, on the way of every message.
  const params = {
    ...(saying.key.startsWith('call.') ? paramsOf(reader) : {}),
    ...fill(saying.params ?? {}, say),
  };
  return [
    {
      key: saying.key.replace(/^talk[.]danger/, 'danger'),
      text: oneText(saying.key, params, reader).trimEnd(),
    },
  ];
}

function pictureText({ planLink, case: { code, plan } }: Reader, say: ReturnType<typeof sayer>): Spoken {
  const key = planLink && plan ? 'talk.picture' : 'talk.no-picture';
  return { key, text: say(key, planLink ? { link: planLink(code) } : {}) };
}

function planPart(part: 'first' | 'rest' | 'all', of: Case, say: ReturnType<typeof sayer>): Spoken[] {
  const texts = planTexts(of, say);
  const from = part === 'rest' ? 1 : 0;
  const to = part === 'first' ? 1 : texts.length;
  return texts.slice(from, to).map((text) => ({ key: `plan.${part}`, text }));
}

function sayer(reader: Reader) {
  const { words } = reader.protocol;
  return (key: string, params?: Record<string, string | number>) => words.say(reader.language, key, params);
}

function questionText(id: string, only: string[] | undefined, reader: Reader): string {
  const { flow, words } = reader.protocol;
  const question = flow.questions.get(id) ?? flow.later.get(id);
  if (!question) throw new Error(`No question "${id}" in version ${reader.protocol.version}`);
  const say = sayer(reader);
  const told = (key: string, params?: Record<string, string | number>) =>
    say(
      key,
      key === 'ask.safe.text'
        ? { notice: say(words.approved(reader.language) ? 'talk.notice' : 'talk.notice-unreviewed') }
        : params,
    );
  return printQuestion(question, told, () => placeAsked(reader), only);
}

// "left wrist": the place asked about, so that nobody answers for another one.
function placeAsked(reader: Reader): string {
  const say = sayer(reader);
  const { findings, site } = reader.case.asking.context;
  const region = findings.sites[site]?.region ?? 'hand';
  const place = say(`plan.place.${region}`);
  return findings.side ? say('plan.side-place', { side: say(`plan.side.${findings.side}`), place }) : place;
}

function paramsOf(reader: Reader): Record<string, string | number> {
  const say = sayer(reader);
  return {
    ...callParams(reader.case, say, reader.clinician?.name ?? ''),
    places: placesOf(reader.case, say),
  };
}

function fill(
  params: Record<string, Filling>,
  say: ReturnType<typeof sayer>,
): Record<string, string | number> {
  return Object.fromEntries(
    Object.entries(params).map(([name, filling]) => [
      name,
      typeof filling === 'object' ? fillOne(filling, say) : filling,
    ]),
  );
}

function fillOne(filling: { key: string } | { list: string[] }, say: ReturnType<typeof sayer>): string {
  return 'key' in filling ? say(filling.key) : filling.list.map((key) => say(key)).join(', ');
}

// A clinician is told in one text. What is too long loses the end of "what", never the code or how to answer.
function oneText(key: string, params: Record<string, string | number>, reader: Reader): string {
  const { words } = reader.protocol;
  let what = String(params['what'] ?? '');
  let text = words.say(reader.language, key, params);
  while (key.startsWith('call.') && what.length > 10 && measure(foldForSms(text)).parts > 1) {
    what = what.slice(0, -4).trimEnd();
    text = words.say(reader.language, key, { ...params, what: `${what}..` });
  }
  return text;
}
