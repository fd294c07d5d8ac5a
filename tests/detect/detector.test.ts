import { expect, test } from 'vitest';
import type { Reading } from '../../bridge/bench/reading.ts';
import type { FoundNull, TouchContext } from '../../bridge/detect/detector.ts';
import { Detector } from '../../bridge/detect/detector.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { whiteNoise } from './noises.ts';

/** What a detector tells of nulls, on taps made by hand. */

const RATE_HZ = 200;
const NULL_CM = 50.3;
const CONTEXT: TouchContext<string> = { labels: 'cell 1', protect: false, row: 5 };
const noise = whiteNoise(10_000, 0.5);

/** Lifted for a second, then held at a place for half a second, and so on. */
function* tapped(placesCm: readonly number[]): Generator<Reading> {
  let sample = 0;
  for (const scaleCm of placesCm) {
    for (let within = 0; within < 1.5 * RATE_HZ; within += 1) {
      const contact = within >= RATE_HZ;
      yield {
        tS: sample / RATE_HZ,
        afterGap: false,
        galCounts: Math.round(2048 - (contact ? 400 * (scaleCm - NULL_CM) : 0) + noise[sample]),
        galSaturated: 0,
        scaleCm,
        driverMa: 127,
        contact,
        cell: 1,
        protect: false,
        load: false,
        row: 5,
      };
      sample += 1;
    }
  }
}

test('further taps put a better null in the place of the one found, which stays what it was', () => {
  const found: FoundNull<string>[] = [];
  const replaced: FoundNull<string>[] = [];
  const detector = new Detector<string>(INVENTED_BENCH, 0.025, {
    onNull: (first) => found.push(Object.freeze(first)),
    onImproved: (before, better) => {
      replaced.push(before);
      found.push(Object.freeze(better));
    },
    onDeflections: () => {},
    onWasted: () => {},
    onLearnt: () => {},
  });
  for (const reading of tapped([49, 51.5, 49.6, 51, 50, 50.6])) detector.accept(reading, CONTEXT);
  detector.close();
  expect(found).toHaveLength(5);
  expect(replaced).toEqual(found.slice(0, 4));
  replaced.forEach((before, index) => {
    expect(before).toBe(found[index]);
  });
  const variances = found.map(({ fit }) => fit.varianceCm2);
  expect(variances[4]).toBeLessThan(variances[0] / 2);
  for (const { fit } of found) expect(fit.rootCm).toBeCloseTo(NULL_CM, 2);
});
