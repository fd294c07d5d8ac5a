import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that take longest for their size, by which the others are ordered: begun last, one would keep the rest waiting. */
const FIRST = ['tests/report/one-number.test.ts', 'tests/torture/torture.test.ts'];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const isFirst = ({ moduleId }: TestSpecification) => FIRST.some((file) => moduleId.endsWith(file));
    const sorted = await super.sort(files);
    return [...sorted.filter(isFirst), ...sorted.filter((file) => !isFirst(file))];
  }
}

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
    sequence: { sequencer: LongestFirst },
  },
});
