// Checks that a language has every plural form its grammar asks for (CLDR, by way of Intl.PluralRules), and no other.
import type { Fault } from '../model.ts';
import type { Tongue } from './tongue.ts';

export function checkPlurals({ language, phrases }: Tongue): Fault[] {
  const needed = categoriesOf(language);
  return [...phrases].flatMap(([key, { kind, forms, file, line }]) => {
    if (kind !== 'plural') return [];
    const given = [...forms.keys()].map((form) => form.slice(key.length + 1));
    const missing = needed.filter((category) => !given.includes(category));
    // i18next takes `_zero` for a count of 0 in every language.
    const unused = given.filter((category) => category !== 'zero' && !needed.includes(category));
    return [
      ...missing.map((category) => `lacks the plural form "${key}_${category}"`),
      ...unused.map((category) => `has the plural form "_${category}", which this language never uses`),
    ].map((said) => ({ file, line, message: `key "${key}" ${said} (needed: ${needed.join(', ')})` }));
  });
}

const categoriesOf = (language: string): string[] =>
  new Intl.PluralRules(language).resolvedOptions().pluralCategories;
