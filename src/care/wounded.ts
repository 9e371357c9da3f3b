// Whether the skin is broken or burnt somewhere: then infection is looked for, and tetanus asked about.
import type { Findings } from '../model.ts';

export function isWounded(findings: Findings | null): boolean {
  return findings?.sites.some(({ wound, cause }) => wound !== 'none' || cause === 'burn') ?? false;
}
