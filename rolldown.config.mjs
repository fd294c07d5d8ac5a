import { defineConfig } from 'rolldown';

export default defineConfig({
  input: { cli: 'bridge/cli.ts' },
  platform: 'node',
  // serialport finds its native binding by path and crashes when bundled; ws and the parser stay beside it.
  external: [/^node:/, /^serialport/, /^@serialport\//, 'ws'],
  output: { dir: 'dist/bridge', format: 'esm', chunkFileNames: '[name]-[hash].js', cleanDir: true },
});
