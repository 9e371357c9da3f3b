// What is held back, in the words that the helper would read.
import type { Protocol } from './protocol.ts';
import { speak } from './speak.ts';
import type { Case } from './types.ts';

export function heldTexts(of: Case, protocol: Protocol): { id: number; texts: string[] }[] {
  const reader = {
    language: of.language,
    protocol,
    case: of,
    clinician: null,
    withCode: false,
    planLink: null,
  };
  return (of.heldBack ?? []).map(({ id, says }) => ({
    id,
    texts: speak(says, reader).map(({ text }) => text),
  }));
}
