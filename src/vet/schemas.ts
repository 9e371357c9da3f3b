// The shapes of `flows/` as JSON schemas, so that an editor completes and checks them while a keeper writes.
import { z } from 'zod';
import type { Protocol } from '../care/protocol.ts';
import {
  circulationShape,
  codesShape,
  decisionsShape,
  positionsShape,
  sourcesShape,
  watchShape,
} from '../clinical/rule-shapes.ts';
import { signatureShape } from '../clinical/signature.ts';
import { tendonsShape } from '../clinical/tendon-shapes.ts';
import { flowSchema } from '../dialogue/flow.ts';

/** Each schema under the name of its file, such as `positions.schema.json`; signs and sources are those of this version. */
export function schemasOf({ rules }: Protocol): Record<string, unknown> {
  const keys = Object.keys(rules.sources);
  const tendons = [...new Set(rules.tendons.map(({ kind }) => kind))];
  const shapes: Record<string, z.ZodType> = {
    sources: sourcesShape,
    positions: positionsShape(rules.signs, keys, tendons),
    circulation: circulationShape(keys),
    watch: watchShape(keys),
    tendons: tendonsShape(keys),
    decisions: decisionsShape(keys),
    codes: codesShape(
      rules.rows.map(({ id }) => id),
      keys,
    ),
    signature: signatureShape,
    hand: flowSchema,
  };
  return Object.fromEntries(
    Object.entries(shapes).map(([name, shape]) => [
      `${name}.schema.json`,
      // What may be written, before defaults are filled in.
      { title: `flows/${name}.yaml`, ...z.toJSONSchema(shape, { io: 'input' }) },
    ]),
  );
}
