// Beside the serve, in a thread of its own, since it takes seconds: every plan of the tree by row, and what differs from
// the version before.
import { parentPort, workerData } from 'node:worker_threads';
import { openProtocol, type Protocol } from './care/protocol.ts';
import type { SourceFile } from './model.ts';
import { changesBetween } from './vet/changes.ts';
import { plansByRow } from './vet/plans-by-row.ts';

export interface Files {
  version: string;
  files: SourceFile[];
}
/** `before`: the version to compare with; null asks for the plans by row instead. */
export interface Work {
  now: Files;
  before: Files | null;
}

function open({ version, files }: Files): Protocol {
  const read = openProtocol(files, version);
  if (!read.ok) throw new Error(`version ${version} cannot be opened any more`);
  return read.value;
}

const { now, before } = workerData as Work;
const found = before
  ? changesBetween({ protocol: open(before), files: before.files }, { protocol: open(now), files: now.files })
  : plansByRow(open(now));
// oxlint-disable-next-line unicorn/require-post-message-target-origin -- a thread's port, no window
parentPort?.postMessage(found);
