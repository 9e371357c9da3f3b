// What a correction goes against, or why it cannot be sent, in words.
import type { Digit, Joint, Splint } from '../../model.ts';
import { digitsOf } from '../../record/findings.ts';
import { splintInWords } from '../../record/recommendation.ts';
import { type CaseView, work } from './case-view.ts';

/** A key under `casework.fault` or `casework.conflict`, with what it is about. */
export interface Told {
  kind: string;
  joint?: Joint;
  digit?: Digit;
  tendon?: string;
  mm?: number;
  row?: string;
  /** Keys of sources, joined by `; `. */
  source?: string;
  splint?: Splint;
}

export function toldInWords(
  { reader, telling }: Pick<CaseView, 'reader' | 'telling'>,
  kind: 'fault' | 'conflict',
  told: Told,
): string {
  const key = `${kind}.${told.kind}`;
  if (!reader.words.has(`casework.${key}`)) return told.kind;
  const source = (told.source ?? '')
    .split('; ')
    .map((each) => telling.protocol.rules.sources[each]?.title ?? each)
    .join('; ');
  return work(reader, key, {
    joint: told.joint ? jointInWords(telling, told.joint) : '',
    digit: told.digit ? digitsOf([told.digit], telling.say) : '',
    tendon:
      told.tendon && reader.words.has(`casework.tendon.${told.tendon}`)
        ? work(reader, `tendon.${told.tendon}`)
        : (told.tendon ?? ''),
    mm: String(Math.abs(told.mm ?? 0)),
    row: told.row ? telling.say(`plan.injury.${told.row}`) : '',
    source,
    splint: told.splint ? splintInWords(told.splint, telling) : '',
  });
}

/** `ring finger MCP`, `thumb IP`, `wrist`. */
export function jointInWords({ say: told }: CaseView['telling'], joint: Joint): string {
  const [digit = '', kind] = joint.split('.');
  if (kind === undefined) return told(`record.joint.${digit}`);
  if (digit === 'thumb') return told(`record.joint.thumb-${kind}`);
  return told('record.joints-of', {
    digits: digitsOf([digit as Digit], told),
    joint: told(`record.joint.${kind}`),
  });
}
