import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    // Some files run a browser, an emulator or ngspice.
    // Limits for what hangs, not for what is slow.
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // Two more than CI has cores: many tests wait for a board or a page.
    maxWorkers: 4,
    // Modules are loaded once a worker, not once a file: a third of the time. No test may leave anything behind in one.
    isolate: false,
  },
});
