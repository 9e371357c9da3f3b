// Two small languages to test with, so that no test depends on the real catalogues.
import type { SourceFile } from '../../src/model.ts';

/** @param place language and base name, such as `en/talk` */
export const locale = (place: string, text: string): SourceFile => ({ path: `locales/${place}.yaml`, text });

export const review = (language: string, name: string, reviewed = 'null'): string =>
  `language: ${language}\nname: ${name}\ndirection: ltr\nreviewed: ${reviewed}\n`;

export const englishTalk = `ask:
  safe: Are you safe?
  side: |
    Which hand?
    1 left
    2 right
code: Your case is {{code}}.
minutes_one: "{{count}} minute"
minutes_other: "{{count}} minutes"
yes-words: [yes, sure]
`;

export const spanishTalk = `ask:
  safe: ¿Están a salvo?
  side: |
    ¿Qué mano?
    1 izquierda
    2 derecha
code: Su caso es {{code}}.
minutes_one: "{{count}} minuto"
minutes_many: "{{count}} de minutos"
minutes_other: "{{count}} minutos"
yes-words: [sí, si, claro]
`;
