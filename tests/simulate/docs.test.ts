import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'rolldown';
import { expect, test, vi } from 'vitest';

/** The examples in docs/simulated-bench.md run as they stand. */

const root = fileURLToPath(new URL('../../', import.meta.url));
const blocks = [
  ...readFileSync(join(root, 'docs/simulated-bench.md'), 'utf8').matchAll(/```ts\n([\s\S]*?)```/g),
];
// The second example goes on from the first one's imports.
const text = blocks.map(([, code]) => code).join('\n');

test('the examples run and print what they say', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-docs-'));
  const printed: unknown[][] = [];
  const log = vi.spyOn(console, 'log').mockImplementation((...values) => printed.push(values));
  try {
    const input = join(folder, 'example.ts');
    writeFileSync(input, text.replaceAll(/'\.\.\/(bridge|tests)\//g, `'${root.replaceAll('\\', '/')}$1/`));
    const file = join(folder, 'example.mjs');
    await build({ input, platform: 'node', output: { file, format: 'esm' }, logLevel: 'silent' });
    await import(/* @vite-ignore */ pathToFileURL(file).href);
  } finally {
    log.mockRestore();
    rmSync(folder, { recursive: true });
  }
  expect(blocks.length).toBe(2);
  expect(printed[0][1]).toBe('!');
  expect(printed.length).toBeGreaterThan(40_000);
  expect(printed[printed.length - 2]).toEqual([1.5437 / 1.3386]);
  expect(printed[printed.length - 1][0]).toBeGreaterThan(1000);
});
