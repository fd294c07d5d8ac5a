import { expect, test } from 'vitest';
import { READINGS_SCENES } from './readings-scenes.ts';
import { runReadings } from './readings-summary.ts';

/** The study of readings in short (`npm run study:readings` is the long one): seeded, so it says the same every time. */

const RUNS = 5;
/** Lengths of a set share their driver: of 20 lengths some ten are independent, whose root mean square scatters by a quarter. */
const MOST_Z = 1.75;

test.each(READINGS_SCENES.map((scene) => ({ name: scene.name, scene })))(
  'lengths err no more than their readings leave open: $name',
  ({ scene }) => {
    const { missing, z } = runReadings(scene, RUNS);
    expect(missing).toBe(0);
    expect(z).toBeLessThan(MOST_Z);
  },
  120_000,
);
