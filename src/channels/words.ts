// What the pages need of the catalogue: every word a person reads on them comes from there.
import type { Catalogues } from '../wording/catalogue.ts';

export type Words = Pick<Catalogues, 'languages' | 'say' | 'has' | 'direction' | 'review' | 'approved'>;

/**
 * The language to greet somebody in: what they asked for, else the first of the browser's `Accept-Language` that the
 * catalogues have, else English. Weights are not read: browsers send the list in falling order.
 */
export function chooseLanguage(languages: readonly string[], asked: string | null, accepted: string): string {
  const wanted = [asked ?? '', ...accepted.split(',')].map((tag) => tag.split(';')[0]!.trim().toLowerCase());
  const found = wanted.flatMap((tag) => [tag, tag.split('-')[0]!]).find((tag) => languages.includes(tag));
  return found ?? (languages.includes('en') ? 'en' : languages[0]!);
}
