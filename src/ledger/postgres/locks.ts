// The advisory locks of this engine, each with its reason. All others are locks on rows.

export const LOCKS = {
  /** "PLMW": two processes that start together must not both bring the schema up. */
  schema: 0x504c4d57,
  /** "PLDE": of two processes that add to the chain of deeds, one waits for the other's entry. */
  deeds: 0x504c4445,
  /** First half of a pair whose second half is made of an address's hash: who writes to a clinician writes one after the other. */
  thread: 0x504c5448,
  /** "PLMS": shared by every serve for as long as it listens: the key is not changed under one. */
  serving: 0x504c4d53,
} as const;
