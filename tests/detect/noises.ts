import { randomDraws } from '../../bridge/calc-core/random-draws.ts';

/** Seeded columns for tests of the detection. */

export const whiteNoise = (n: number, sigma: number, seed = 1): Float64Array => {
  const { normal } = randomDraws(seed);
  return Float64Array.from({ length: n }, () => sigma * normal());
};

/** First-order autoregression of unit innovations: each value is `memory` times the one before, and something new. */
export const remembering = (n: number, memory: number, seed = 1): Float64Array => {
  const values = whiteNoise(n, 1, seed);
  for (let index = 1; index < n; index += 1) values[index] += memory * values[index - 1];
  return values;
};

export const times = (n: number, hz: number): Float64Array =>
  Float64Array.from({ length: n }, (_, index) => index / hz);
