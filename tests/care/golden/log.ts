// One old case as it is kept for ever: its events, the hash of the case after each, and the case that came of them.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { openProtocol, type Protocol } from '../../../src/care/protocol.ts';
import { turn } from '../../../src/care/turn.ts';
import type { Case, StoredEvent } from '../../../src/care/types.ts';
import type { SourceFile } from '../../../src/model.ts';
import { versionOf } from '../../../src/protocol-files.ts';

export const FOLDER = new URL('./versions/', import.meta.url);
/** The whole of `flows/` and `locales/` as a version had them, as the ledger would have kept them. */
export const PROTOCOL_FILE = 'protocol.json.gz';

export interface GoldenLog {
  story: string;
  events: { event: StoredEvent; hash: string }[];
  becomes: Case | null;
}

/** Folds the events anew; hashes and outcome are those of the program as it is now. */
export function replayed({ story, events }: GoldenLog, protocol: Protocol): GoldenLog {
  let of: Case | null = null;
  const again = events.map(({ event }) => {
    // Through JSON, as it was stored: the order of keys is part of the hash.
    of = JSON.parse(JSON.stringify(turn(of, event, protocol).case)) as Case;
    return { event, hash: createHash('sha256').update(JSON.stringify(of)).digest('base64url') };
  });
  return { story, events: again, becomes: of };
}

/** An event a line, so that a change shows where it begins. */
export function written({ story, events, becomes }: GoldenLog): string {
  const lines = events.map((each) => `    ${JSON.stringify(each)}`);
  return `{\n  "story": ${JSON.stringify(story)},\n  "events": [\n${lines.join(',\n')}\n  ],\n  "becomes": ${JSON.stringify(becomes, null, 2).replaceAll('\n', '\n  ')}\n}\n`;
}

export function protocolOf(version: string): Protocol {
  const kept = readFileSync(new URL(`${version}/${PROTOCOL_FILE}`, FOLDER));
  const files = JSON.parse(gunzipSync(kept).toString()) as SourceFile[];
  if (versionOf(files) !== version) throw new Error(`${version}: its files are not those of that version`);
  const read = openProtocol(files, version);
  if (!read.ok) throw new Error(`${version} cannot be opened any more: ${JSON.stringify(read.faults[0])}`);
  return read.value;
}
