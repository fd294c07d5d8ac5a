import { randomNormal } from 'd3-random';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

/** A seeded source of numbers. The same seed and name give the same numbers for ever. */
export interface RandomStream {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/** FNV-1a over a name, so that every effect draws from a stream of its own. */
function hashOf(name: string): number {
  let hash = 0x811c9dc5;
  for (let index = 0; index < name.length; index += 1) {
    hash = Math.imul(hash ^ name.charCodeAt(index), 0x01000193);
  }
  return hash;
}

/** The generator's first numbers still show the simple state that its seed makes; they are thrown away. */
const WARM_UP = 32;

/**
 * The stream of one effect. Effects do not share a stream: turning one off or on leaves the numbers of
 * the others as they were, so that two runs can be compared effect by effect.
 */
export function randomStream(seed: number, name: string): RandomStream {
  const generator = xoroshiro128plus(Math.imul(seed | 0, 0x9e3779b1) ^ hashOf(name));
  for (let index = 0; index < WARM_UP; index += 1) generator.next();
  const uniform = (): number => uniformFloat64(generator);
  return { uniform, normal: randomNormal.source(uniform)(0, 1) };
}
