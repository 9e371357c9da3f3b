// Weighs one site: its places, and everything that the rows find there.
import type { Findings, Site } from '../model.ts';
import { findingsOf, rowsOf } from './establish.ts';
import type { Finding } from './establish.ts';
import { placesOf } from './facts.ts';
import type { Place } from './lay-splints.ts';
import type { ClinicalRules } from './rule-types.ts';

/** A site with its places and all their findings. */
export interface WeighedSite {
  site: Site;
  places: readonly Place[];
  findings: readonly Finding[];
}

/** Weighs a site of a limb against the rows. */
export function weighSite(site: Site, limb: Findings, rules: Pick<ClinicalRules, 'rows'>): WeighedSite {
  const places = placesOf(site, limb).map((facts) => ({
    facts,
    findings: rowsOf(facts, rules).flatMap((row) => findingsOf(row, facts)),
  }));
  return { site, places, findings: places.flatMap((place) => place.findings) };
}
