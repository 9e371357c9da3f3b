// How the tests run: real parts, so files get their own process and a little time to start a browser.
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/postgres/shared.ts'],
    pool: 'forks',
    // Ends what hangs, and says nothing of speed: on a slow machine a page in six sizes with every rule takes 20 s.
    testTimeout: 60_000,
    hookTimeout: 60_000,
    reporters: ['default'],
  },
});
