import { normalOf, uniformFrom } from '../../independent-recordings/writer/noise.ts';

/** Random draws of the reality study, seeded. They share nothing with the program's own. */
export interface Chance {
  /** 0 to 1, ends left out. */
  uniform(): number;
  normal(): number;
  between(least: number, most: number): number;
  /** Evenly spread in its logarithm. */
  logBetween(least: number, most: number): number;
  yes(probability: number): boolean;
  oneOf<One>(list: readonly One[]): One;
  sign(): 1 | -1;
}

export function chanceFrom(seed: number): Chance {
  const uniform = uniformFrom(seed);
  const between = (least: number, most: number) => least + (most - least) * uniform();
  return {
    uniform,
    normal: normalOf(uniform),
    between,
    logBetween: (least, most) => Math.exp(between(Math.log(least), Math.log(most))),
    yes: (probability) => uniform() < probability,
    oneOf: (list) => list[Math.floor(uniform() * list.length)],
    sign: () => (uniform() < 0.5 ? 1 : -1),
  };
}
