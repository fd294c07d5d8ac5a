import { randomGamma, randomNormal } from 'd3-random';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { Distribution } from './outcome.ts';

/** Draws a deviation in units of the standard uncertainty stated. */
export type Draw = () => number;

export interface Draws {
  normal: Draw;
  /** From 0 to 1. */
  uniform: Draw;
  /** JCGM 101, 6.4: the density that stands for what is known of an input. `dof` counts for 't' only. */
  of(distribution: Distribution, dof: number): Draw;
}

/** The generator's first numbers still show the simple state that its seed makes. */
const WARM_UP = 32;

/** Seeded: the same seed gives the same draws for ever. */
export function randomDraws(seed: number): Draws {
  const generator = xoroshiro128plus(seed);
  for (let index = 0; index < WARM_UP; index += 1) generator.next();
  const uniform = () => uniformFloat64(generator);
  const normal = randomNormal.source(uniform)(0, 1);
  const student = (dof: number): Draw => {
    const gamma = randomGamma.source(uniform)(dof / 2);
    return () => normal() / Math.sqrt((2 * gamma()) / dof);
  };
  const draws: Record<Distribution, (dof: number) => Draw> = {
    normal: () => normal,
    rectangular: () => () => Math.sqrt(3) * (2 * uniform() - 1),
    triangular: () => () => Math.sqrt(6) * (uniform() + uniform() - 1),
    t: (dof) => (Number.isFinite(dof) ? student(dof) : normal),
  };
  return { normal, uniform, of: (distribution, dof) => draws[distribution](dof) };
}
