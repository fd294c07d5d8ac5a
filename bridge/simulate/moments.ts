import { type Analog, createFrontEnd } from './front-end.ts';
import { createLiveBench, type Physical } from './live-bench.ts';
import { randomStream } from './random.ts';
import type { Scene } from './scene.ts';

/** One sample's moment: what is there, and what stands at the converters. Both objects are changed in place. */
export interface Moment {
  physical: Physical;
  analog: Analog;
}

/** The moments at which the board of a scene samples, until the hand has done all it had to. */
export function* moments(scene: Scene): Generator<Moment, void, undefined> {
  const live = createLiveBench(scene);
  const frontEnd = createFrontEnd(scene);
  const jitterS = sampleJitter(scene);
  for (let index = 0; ; index += 1) {
    const physical = live.advance((index + 0.5) / scene.board.rateHz + jitterS());
    const analog = frontEnd.read(physical);
    yield { physical, analog };
    if (physical.finished) return;
  }
}

/** Deviation of a sample from its moment in s, never so large that samples change places. */
function sampleJitter({ seed, board }: Scene): () => number {
  if (board.jitterUs === 0) return () => 0;
  const random = randomStream(seed, 'sample jitter');
  const mostS = 0.4 / board.rateHz;
  return () => Math.max(-mostS, Math.min(mostS, board.jitterUs * 1e-6 * random.normal()));
}
