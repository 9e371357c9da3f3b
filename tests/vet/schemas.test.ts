// The JSON schemas for a keeper's editor: one for each file of flows/, with this version's own words in them.
import { expect, test } from 'vitest';
import { schemasOf } from '../../src/vet/schemas.ts';
import { opened, SHIPPED } from './protocol-files.ts';

const protocol = opened(SHIPPED);
const schemas = schemasOf(protocol);

test('there is one for each file of flows/, and one for the signature', () => {
  const flows = SHIPPED.flatMap(({ path }) => /^flows\/(.*)[.]yaml$/.exec(path)?.[1] ?? []);
  expect(Object.keys(schemas).toSorted()).toEqual(
    [...new Set([...flows, 'signature'])].map((name) => `${name}.schema.json`).toSorted(),
  );
  for (const schema of Object.values(schemas))
    expect(schema).toMatchObject({
      $schema: expect.stringContaining('json-schema.org'),
      type: expect.stringMatching(/^(object|array)$/),
    });
});

test('they know the signs, sources and tendons of this version', () => {
  const positions = JSON.stringify(schemas['positions.schema.json']);
  for (const word of [...protocol.rules.signs, ...Object.keys(protocol.rules.sources), 'central-slip'])
    expect(positions).toContain(`"${word}"`);
});

test('what has a default may be left out, and what is not known may not be there', () => {
  const { properties } = schemas['positions.schema.json'] as {
    properties: { rows: { items: Record<string, unknown> } };
  };
  expect(properties.rows.items['required']).toEqual(['id', 'row', 'says', 'source']);
  expect(properties.rows.items['additionalProperties']).toBe(false);
});
