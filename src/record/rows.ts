// The five sections of a handover, each in rows of a name and what it says.

/** A row: a key under `record.row`, and what it says. */
export type Row = readonly [key: string, says: string];
export interface Section {
  key: 'identify' | 'situation' | 'background' | 'assessment' | 'recommendation';
  rows: Row[];
}
