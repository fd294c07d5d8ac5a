// Runs one TypeScript entry on a Node that cannot: `node .ci/run-ts.mjs tests/study/result.ts [arguments]`.
// It is bundled with its own imports into .cache/; packages stay outside, so that what is run is what is installed.
import { spawnSync } from 'node:child_process';
import { isAbsolute, join, parse, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const root = fileURLToPath(new URL('..', import.meta.url));
const [entry, ...rest] = process.argv.slice(2);
if (entry === undefined) {
  console.error('usage: node .ci/run-ts.mjs ENTRY.ts [arguments]');
  process.exit(2);
}

const isPackage = (id) => !id.startsWith('.') && !id.startsWith('#') && !isAbsolute(id);
const bundle = await rolldown({
  input: resolve(entry),
  platform: 'node',
  external: isPackage,
  logLevel: 'warn',
});
// A folder for each entry: two runs at once must not clear each other's files. As deep as a source file, because sources
// find files of the repository by their own place.
const dir = join(root, '.cache', `run-ts-${parse(entry).name}`);
const { output } = await bundle.write({ dir, format: 'esm', entryFileNames: '[name].mjs', sourcemap: true });
await bundle.close();
const main = output.find((chunk) => chunk.type === 'chunk' && chunk.isEntry);
// For Node itself, such as --cpu-prof or --inspect.
const nodeFlags = (process.env.RUN_TS_NODE_FLAGS ?? '').split(' ').filter(Boolean);
const run = spawnSync(
  process.execPath,
  ['--enable-source-maps', ...nodeFlags, join(dir, main.fileName), ...rest],
  { stdio: 'inherit' },
);
process.exit(run.status ?? 1);
