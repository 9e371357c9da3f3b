// HTML that cannot be injected into: a template tag that escapes every value unless the same tag made it.
import { html as escaped } from 'ghtml';

/** Markup made by `html`. A plain string is never taken for markup; there is no way to mark one as safe. */
export interface Markup {
  readonly markup: string;
}

export type Value = string | number | null | Markup | readonly Markup[];

/** `ghtml`'s own raw form is a `!` before the gap, which a sentence may end with by chance; so it sees only values. */
export function html(literals: TemplateStringsArray, ...values: Value[]): Markup {
  return {
    markup: literals.reduce((before, literal, at) => before + render(values[at - 1] ?? null) + literal),
  };
}

function render(value: Value): string {
  if (value === null) return '';
  if (typeof value === 'string' || typeof value === 'number') return escaped`${value}`;
  if ('markup' in value) return value.markup;
  return value.map((part) => part.markup).join('');
}
