import { availableParallelism, cpus, loadavg } from 'node:os';
import { parseArgs } from 'node:util';
import type { Part } from './figures.ts';
import { PARTS } from './parts.ts';

/**
 * `npm run torture`, or some parts of it: `npm run torture -- kills storm`. `--seed 7` draws other accidents, `--size '{"kills":100}'`
 * takes other numbers than the full ones, where the machine is busy. Prints a line of Markdown for each part, and ends with 1
 * where one found a fault.
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { seed: { type: 'string', default: '1' }, size: { type: 'string', default: '{}' } },
});
const seed = Number(values.seed);
const other: object = JSON.parse(values.size);

const machine = `${availableParallelism()} × ${cpus()[0]?.model ?? 'unknown'}, load ${loadavg()[0].toFixed(1)}`;
const day = new Date().toISOString().slice(0, 10);
console.log(
  `${day}, Node ${process.versions.node}, ${process.platform}, ${machine}, seed ${seed}, ${values.size}`,
);
for (const [name, part] of Object.entries(PARTS))
  if (positionals.length === 0 || positionals.includes(name)) await runPart(name, part);

async function runPart(name: string, part: Part): Promise<void> {
  const begunMs = performance.now();
  try {
    const found = Object.entries(await part.full(seed, other)).map(([what, value]) => `${what}: ${value}`);
    console.log(`| ${name} | ${found.join('; ')} | ${Math.round((performance.now() - begunMs) / 1000)} s |`);
  } catch (error) {
    console.log(`| ${name} | FAULT: ${(error as Error).stack} | |`);
    process.exitCode = 1;
  }
}
