// The handover as a FHIR R4 document: a Bundle that begins with its Composition, for the systems of whoever receives.
import type {
  Bundle,
  BundleEntry,
  Composition,
  Device,
  FhirResource,
  Patient,
  Reference,
} from 'fhir/r4.d.ts';
import { html } from '../../wording/markup.ts';
import { foundIn } from '../findings.ts';
import { isbarOf } from '../isbar.ts';
import { instantOf } from '../moments.ts';
import { positionRows } from '../recommendation.ts';
import type { Telling } from '../recorded.ts';
import type { Section } from '../rows.ts';
import { carePlanOf } from './care-plan.ts';
import { communicationsOf } from './communications.ts';
import { conditionsOf } from './conditions.ts';
import { observationsOf } from './observations.ts';
import { addressOf, CASE_SYSTEM, narrative, referenceTo } from './parts.ts';
import { responseOf } from './response.ts';

interface Filed<T extends FhirResource = FhirResource> {
  id: string;
  resource: T;
}

/** The document. `newId` gives a new UUID each time: chance comes in from outside. */
export function bundleOf(telling: Telling, newId: () => string): Bundle {
  const file = <T extends FhirResource>(resource: T): Filed<T> => ({ id: newId(), resource });
  const patient = file(patientOf(telling));
  const device = file(deviceOf(telling));
  const [subject, program] = [referenceTo(patient.id), referenceTo(device.id)];
  const conditions = conditionsOf(telling, subject).map(file);
  const observations = observationsOf(telling, subject).map(file);
  const carePlan = file(
    carePlanOf(telling, {
      subject,
      author: program,
      conditions: conditions.map(({ id }) => referenceTo(id)),
    }),
  );
  const communications = communicationsOf(telling, subject, program).map(file);
  const response = file(responseOf(telling, subject, program));
  const entries: Record<Section['key'], Filed[]> = {
    identify: [device],
    situation: conditions,
    background: [response],
    assessment: observations,
    recommendation: [carePlan, ...communications],
  };
  const composition = file(compositionOf(telling, { subject, author: program, entries }));
  return {
    resourceType: 'Bundle',
    identifier: { system: 'urn:ietf:rfc:3986', value: addressOf(newId()) },
    type: 'document',
    timestamp: instantOf(telling, telling.at),
    entry: [composition, patient, ...Object.values(entries).flat()].map(entryOf),
  };
}

function entryOf({ id, resource }: Filed): BundleEntry {
  return { fullUrl: addressOf(id), resource };
}

/** Nobody is asked for a name: the case's code is what the helper can show. */
function patientOf(telling: Telling): Patient {
  const { sex } = foundIn(telling);
  return {
    resourceType: 'Patient',
    identifier: [{ system: CASE_SYSTEM, value: telling.case.code }],
    ...(sex ? { gender: sex } : {}),
  };
}

function deviceOf({ say, protocol }: Telling): Device {
  return {
    resourceType: 'Device',
    deviceName: [{ name: say('record.fhir.system'), type: 'user-friendly-name' }],
    version: [{ value: protocol.version }],
    note: [{ text: say('record.program') }],
  };
}

// Read in the value set of document types that comes with FHIR R4.
const TRANSFER_SUMMARY = {
  system: 'http://loinc.org',
  code: '18761-7',
  display: 'Provider-unspecified Transfer summary',
};

interface Inside {
  subject: Reference;
  author: Reference;
  entries: Record<Section['key'], Filed[]>;
}

// Preliminary: no clinician has attested it.
function compositionOf(telling: Telling, { subject, author, entries }: Inside): Composition {
  const { say, case: of, language } = telling;
  return {
    resourceType: 'Composition',
    language,
    identifier: { system: CASE_SYSTEM, value: of.code },
    status: 'preliminary',
    type: { coding: [TRANSFER_SUMMARY], text: say('record.send.link') },
    subject,
    date: instantOf(telling, telling.at),
    author: [author],
    title: say('record.title', { code: of.code }),
    section: isbarOf(telling).map((section) => ({
      title: say(`record.section.${section.key}`),
      text: narrative(language, sectionTable(section, telling)),
      ...(entries[section.key].length > 0
        ? { entry: entries[section.key].map(({ id }) => referenceTo(id)) }
        : {}),
    })),
  };
}

function sectionTable({ key, rows }: Section, telling: Telling) {
  const { say } = telling;
  const told = [
    ...rows.map(([name, says]) => [say(`record.row.${name}`), says]),
    ...(key === 'recommendation'
      ? positionRows(telling).map(({ cells: [joint, ...rest] }) => [joint, rest.join(', ')])
      : []),
  ];
  return html`<table>
    ${told.map(
      ([name = '', says = '']) =>
        html`<tr>
          <th>${name}</th>
          <td>${says}</td>
        </tr>`,
    )}
  </table>`;
}
