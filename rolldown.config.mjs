import { chmodSync } from 'node:fs';
import { join } from 'node:path';
import { defineConfig } from 'rolldown';

/** npx makes the program executable when it first links it, and not again after a build. */
const executable = {
  name: 'executable',
  writeBundle: ({ dir }) => chmodSync(join(dir, 'cli.js'), 0o755),
};

export default defineConfig({
  input: {
    cli: 'bridge/cli.ts',
    'background-worker': 'bridge/bench-setup/background-worker.ts',
    'calc-core': 'bridge/calc-core/index.ts',
    'firmware-protocol': 'firmware-protocol/index.ts',
  },
  platform: 'node',
  // serialport finds its native binding by path and crashes when bundled; ws and the parser stay beside it.
  external: [/^node:/, /^serialport/, /^@serialport\//, 'ws'],
  output: { dir: 'dist/bridge', format: 'esm', chunkFileNames: '[name]-[hash].js', cleanDir: true },
  plugins: [executable],
});
