// What every page of the rota is made of: who reads, who is on the rota, and in which zone times are told.
import type { Reader, Sitting } from '../desk.ts';
import type { Clinician } from '../kept.ts';
import { html, type Markup } from '../../wording/markup.ts';
import { zoneOf } from './rota-times.ts';

export interface RotaView {
  reader: Reader;
  sitting: Sitting;
  /** The id of whoever reads. */
  me: string;
  /** In calling order. */
  clinicians: readonly Clinician[];
  /** The zone of whoever gave none. */
  zone: string;
  /** Those that a clinician can be spoken to in. */
  languages: readonly string[];
  /** Why what was asked was not done. */
  fault: RotaFault | null;
  /** What was typed before, so that a refusal does not lose it. Nothing secret. */
  typed: Readonly<Record<string, string>>;
}

/** A key under `rota.faults`. */
export type RotaFault =
  | 'stale'
  | 'no-name'
  | 'no-number'
  | 'taken'
  | 'no-language'
  | 'no-zone'
  | 'wrong'
  | 'no-factor'
  | 'locked'
  | 'no-shift'
  | 'no-time'
  | 'too-many'
  | 'not-first'
  | 'alone'
  | 'last'
  | 'not-confirmed';

export const STYLE = '/rota.css';

export const told = ({ words, language }: Reader, key: string, params?: Record<string, string | number>) =>
  words.say(language, `rota.${key}`, params);

/** The zone that a page tells its times in: the reader's own. */
export const ownZone = ({ clinicians, me, zone }: RotaView): string =>
  zoneOf(
    clinicians.find(({ id }) => id === me),
    zone,
  );

export const nameOf = ({ clinicians }: Pick<RotaView, 'clinicians'>, id: string): string =>
  clinicians.find((one) => one.id === id)?.name ?? id;

export const faultLine = ({ reader, fault }: RotaView): Markup | null =>
  fault && html`<p role="alert"><strong>${told(reader, `faults.${fault}`)}</strong></p>`;

export const formToken = ({ sitting }: RotaView): Markup =>
  html`<input type="hidden" name="token" value="${sitting.formToken}" />`;

export function zoneField(reader: Reader, zones: readonly string[], chosen: string): Markup {
  const options = zones.includes(chosen) ? zones : [chosen, ...zones];
  return html`<label for="zone">${told(reader, 'zone')}</label>
    <select id="zone" name="zone" required>
      ${options.map(
        (zone) =>
          html`<option value="${zone}" ${zone === chosen ? { markup: 'selected' } : null}>${zone}</option>`,
      )}
    </select>`;
}
