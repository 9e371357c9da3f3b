/** How long a test waits for what has to come: it ends what hangs, and says nothing of speed. */
export const PATIENTLY = { timeout: 20_000 };
