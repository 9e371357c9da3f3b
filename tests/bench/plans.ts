// How many plans a second the rules make, on findings made at random, and how long vetting the whole protocol takes.
import fc from 'fast-check';
import type { Protocol } from '../../src/care/protocol.ts';
import { DIGITS, FINGERS } from '../../src/clinical/anatomy.ts';
import { CAUSES, FACES, LEVELS, MATERIALS, REGIONS } from '../../src/clinical/findings.ts';
import { planFor } from '../../src/clinical/plan.ts';
import type { Findings, Site } from '../../src/model.ts';
import { readProtocolFiles } from '../../src/protocol-files.ts';
import { vet } from '../../src/vet/vet.ts';

const SAMPLES = 2000;
const WARM_UP_MS = 500;
const MEASURE_MS = 2000;

export function measurePlans({ rules }: Protocol): { perSecond: number } {
  const samples = fc.sample(anyFindings(rules.signs), { numRuns: SAMPLES, seed: 1 });
  const planAll = () => samples.forEach((findings) => planFor(findings, rules));
  repeatFor(WARM_UP_MS, planAll);
  const { times, seconds } = repeatFor(MEASURE_MS, planAll);
  return { perSecond: Math.round((times * SAMPLES) / seconds) };
}

export function measureVet(protocol: Protocol): { seconds: number; faults: number } {
  const begun = performance.now();
  const { faults } = vet(protocol, readProtocolFiles());
  return { seconds: Math.round((performance.now() - begun) / 10) / 100, faults: faults.length };
}

function repeatFor(ms: number, body: () => void): { times: number; seconds: number } {
  const begun = performance.now();
  let times = 0;
  for (; performance.now() - begun < ms; times += 1) body();
  return { times, seconds: (performance.now() - begun) / 1000 };
}

function anyFindings(signs: readonly string[]): fc.Arbitrary<Findings> {
  return fc.record(
    {
      age: fc.constantFrom('child', 'adult', 'older'),
      material: fc.constantFrom(...MATERIALS),
      sites: fc.array(
        fc.constantFrom(...REGIONS).chain((region) => siteIn(region, signs)),
        { minLength: 1, maxLength: 3 },
      ),
    },
    { requiredKeys: ['sites'] },
  );
}

function siteIn(region: Site['region'], signs: readonly string[]): fc.Arbitrary<Site> {
  const digits = region === 'thumb' ? (['thumb'] as const) : region === 'hand' ? DIGITS : FINGERS;
  return fc.record(
    {
      region: fc.constant(region),
      digits: fc.subarray([...digits], { minLength: 1 }),
      level: fc.constantFrom(...LEVELS),
      broken: fc.constantFrom('yes', 'no', 'unsure'),
      wound: fc.constantFrom('none', 'shallow', 'deep'),
      face: fc.constantFrom(...FACES),
      cause: fc.constantFrom(...CAUSES),
      signs: fc.uniqueArray(fc.constantFrom(...signs), { maxLength: 2 }),
    },
    { requiredKeys: ['region'] },
  );
}
