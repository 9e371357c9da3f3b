// Says the text of a key in a language. Whatever is missing is a bug and throws: nobody gets half a sentence by SMS.
import { createInstance } from 'i18next';
import type { Phrase, Tongue } from './tongue.ts';

type Params = Record<string, string | number>;
export type Say = (language: string, key: string, params?: Params) => string;

/**
 * Plain texts come straight from the map and gaps are filled here, for this runs several times a turn; only plural
 * forms go through i18next, which takes 2 to 4 microseconds each.
 */
export function speaker(tongues: Tongue[]): Say {
  const voices = new Map(tongues.map((tongue) => [tongue.language, voiceOf(tongue)]));
  return (language, key, params) => {
    const voice = voices.get(language);
    if (!voice) throw new Error(`No catalogue for language "${language}"`);
    const plain = voice.plain.get(key);
    return plain ?? voice.fill(key, params ?? {});
  };
}

interface Voice {
  plain: Map<string, string>;
  fill: (key: string, params: Params) => string;
}

function voiceOf({ language, phrases }: Tongue): Voice {
  const forms = [...phrases.values()].flatMap((phrase) => [...phrase.forms]);
  const translate = fixedT(language, Object.fromEntries(forms));
  const plain = [...phrases]
    .filter(([, { kind, variables }]) => kind === 'text' && variables.length === 0)
    .map(([key, { forms: only }]): [string, string] => [key, only.get(key) ?? '']);
  const pieces = new Map(forms.map(([key, text]) => [key, text.split(GAP)]));
  return {
    plain: new Map(plain),
    fill: (key, params) => {
      const phrase = phrases.get(key);
      if (!phrase) throw new Error(`No text "${key}" in language "${language}"`);
      requireParams(key, phrase, params);
      if (phrase.kind === 'plural')
        return translate(key, { replace: params, count: Number(params['count']) });
      return fillGaps(pieces.get(key) ?? [], params);
    },
  };
}

/** The names come out between the pieces: every second one is a gap. */
const GAP = /\{\{([A-Za-z][A-Za-z0-9]*)\}\}/;

function fillGaps(pieces: string[], params: Params): string {
  return pieces.map((piece, at) => (at % 2 === 0 ? piece : String(params[piece]))).join('');
}

function requireParams(key: string, { kind, variables }: Phrase, params: Params): void {
  if (kind === 'list') throw new Error(`"${key}" is a list of words and cannot be said`);
  const missing = variables.filter((name) => params[name] === undefined);
  if (missing.length > 0) throw new Error(`Text "${key}" needs a value for ${missing.join(', ')}`);
  if (kind === 'plural' && typeof params['count'] !== 'number') {
    throw new Error(`Text "${key}" has plural forms and needs a number as count`);
  }
}

type Translate = (key: string, options: { replace: Params; count: number }) => string;

/** One i18next a language: keys are flat, values go in as they are, and what they hold is never looked up again. */
function fixedT(language: string, texts: Record<string, string>): Translate {
  const i18n = createInstance();
  void i18n.init({
    initAsync: false,
    lng: language,
    fallbackLng: false,
    load: 'currentOnly',
    resources: { [language]: { translation: texts } },
    keySeparator: false,
    nsSeparator: false,
    interpolation: { escapeValue: false, skipOnVariables: true },
  });
  const translate = i18n.getFixedT(language);
  return (key, options) => translate(key, { ...options, nest: false });
}
