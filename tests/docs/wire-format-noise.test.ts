import { readFileSync } from 'node:fs';
import { erf } from 'mathjs';
import { expect, test } from 'vitest';

/** What SPEC.md says of noise before a converter, against the sum over all counts: no approximation in it. */

const below = (steps: number, noise: number): number => 0.5 * (1 + erf(steps / noise / Math.SQRT2));

/** Mean of the counts of an input at `at` steps, minus the input. */
function errorOfMean(at: number, noise: number): number {
  let mean = 0;
  for (let count = -10; count <= 10; count += 1)
    mean += count * (below(count + 0.5 - at, noise) - below(count - 0.5 - at, noise));
  return mean - at;
}

const largestError = (noise: number): number =>
  Math.max(...Array.from({ length: 501 }, (_, index) => Math.abs(errorOfMean(index / 1000, noise))));

test.each([
  ['1/2', 1 / 2],
  ['1/3', 1 / 3],
  ['1/6', 1 / 6],
])('noise of %s step', (words, noise) => {
  const spec = readFileSync(new URL('../../firmware-protocol/SPEC.md', import.meta.url), 'utf8');
  const said = Number(new RegExp(`(0\\.\\d+) for (s = )?${words}`).exec(spec)?.[1]);
  expect(said).toBe(
    Number((Math.exp(-2 * (Math.PI * noise) ** 2) / Math.PI).toPrecision(said < 0.1 ? 1 : 2)),
  );
  expect(Math.abs(largestError(noise) / said - 1)).toBeLessThan(0.2);
});
