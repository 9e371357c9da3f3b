// The small parts that the resources of a handover share: addresses of their own, references, narratives, clean texts.
import type { CodeableConcept, Narrative, Reference } from 'fhir/r4.d.ts';
import type { Markup } from '../../wording/markup.ts';

/** Where our own identifiers come from. They mean something together with the server that gave them, and only there. */
export const CASE_SYSTEM = 'urn:x-palmward:case';
export const QUESTIONNAIRE_URL = 'urn:x-palmward:questionnaire:hand';

export const inWords = (text: string): CodeableConcept => ({ text });

/** A code of a system of HL7's own. */
export function coded(system: string, code: string): CodeableConcept {
  return { coding: [{ system: `http://terminology.hl7.org/CodeSystem/${system}`, code }] };
}

export const referenceTo = (id: string): Reference => ({ reference: addressOf(id) });

export const addressOf = (id: string): string => `urn:uuid:${id}`;

/** `markup` made by the escaping tag. */
export function narrative(language: string, { markup }: Markup): Narrative {
  const div = `<div xmlns="http://www.w3.org/1999/xhtml" lang="${language}">${clean(markup)}</div>`;
  return { status: 'generated', div };
}

/** Without signs that XML, and so a narrative, cannot hold. */
export function clean(text: string): string {
  return text.toWellFormed().replace(/[^\P{Cc}\n\t]/gu, ' ');
}
