// What the rows of a plan are called in ICD-10, as far as the hurt places allow to tell.
import type { DiagnosisCode } from '../clinical/rule-types.ts';
import type { Site } from '../model.ts';

/** The one code of a row for these places; null where there is none, or the places would give different ones. */
export function codeOf(
  row: string,
  sites: readonly Site[],
  codes: readonly DiagnosisCode[],
): DiagnosisCode | null {
  const fitting = codes.filter((code) => code.rows.includes(row) && sites.some((site) => fits(code, site)));
  const [first] = fitting;
  return first && fitting.every(({ code }) => code === first.code) ? first : null;
}

function fits({ region, digits }: DiagnosisCode, site: Site): boolean {
  const isThere = region?.includes(site.region) ?? true;
  return isThere && (digits?.some((digit) => site.digits?.includes(digit)) ?? true);
}
