import { describe, expect, test } from 'vitest';
import type { ScenePatch } from '../../bridge/simulate/default-scene.ts';
import type { Meanwhile, Step } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { evenScene } from './even-bench.ts';
import { type Readings, simulateReadings, sweepSteps } from './readings.ts';

/** Things that look like a null and are none: the bench must be able to make them. */

const START = { rheostatOhm: 4.1, protect: false };
const NULL_SCALE_CM = (trueLengthCm(evenScene({}), START) as number) - 600;

const slide = (fromCm: number, toCm: number, meanwhile: Meanwhile[] = [], row = 7): Step[] => [
  { do: 'move', to: { row: 7, scaleCm: fromCm }, seconds: 1, profile: 'smooth' },
  { do: 'press' },
  { do: 'wait', seconds: 0.5 },
  { do: 'move', to: { row, scaleCm: toCm }, seconds: 2, profile: 'steady', meanwhile },
  { do: 'wait', seconds: 0.5 },
  { do: 'lift' },
];

const see = (steps: Step[], patch: ScenePatch = {}): Readings =>
  simulateReadings(
    evenScene({ ...patch, task: { kind: 'script', procedure: 'emf-comparison', start: START, steps } }),
  );

const currents = (readings: Readings): number[] =>
  [...readings.trueUa].filter((_, index) => readings.contact[index] === 1);

test('a real null is crossed once, at its place', () => {
  const readings = see(slide(NULL_SCALE_CM - 3, NULL_SCALE_CM + 3), {
    apparatus: { contact: { bounces: 0 } },
  });
  const crossing = readings.trueUa.findIndex(
    (ua, index) => index > 0 && ua < 0 && readings.trueUa[index - 1] > 0,
  );
  expect(readings.trueScaleCm[crossing]).toBeCloseTo(NULL_SCALE_CM, 1);
});

test('hum alone crosses zero when a lead of the branch is off', () => {
  const readings = see(slide(10, 20), {
    apparatus: { faults: { branchOpen: true } },
    frontEnd: { galvanometer: { hum: { amplitudeUa: 3 } } },
  });
  expect(currents(readings).every((ua) => ua === 0)).toBe(true);
  const inContact = [...readings.gal].filter((_, index) => readings.contact[index] === 1);
  expect(Math.max(...inContact) - Math.min(...inContact)).toBeGreaterThan(80);
});

describe('while the jockey slides on one side of the null', () => {
  const aside = (meanwhile: Meanwhile[]) =>
    currents(see(slide(NULL_SCALE_CM - 8, NULL_SCALE_CM - 5, meanwhile)));

  test('a lead that works loose lets the current die away without a crossing', () => {
    const seen = aside([{ afterS: 0.5, overS: 1, switches: { leadOhm: 1e7 } }]);
    expect(Math.min(...seen)).toBeGreaterThan(0);
    expect(seen[seen.length - 1]).toBeLessThan(1e-3 * seen[0]);
  });

  test('the other cell put in circuit makes the sign change', () => {
    const seen = aside([{ afterS: 1, switches: { cell: 2 } }]);
    expect(seen[0]).toBeGreaterThan(0);
    expect(seen[seen.length - 1]).toBeLessThan(0);
  });

  test('an opened driver key makes the current jump up, not across', () => {
    const seen = aside([{ afterS: 1, switches: { keyClosed: false } }]);
    expect(seen[seen.length - 1]).toBeGreaterThan(10 * seen[0]);
  });
});

test('a jockey that jumps to the next row jumps in current', () => {
  const seen = currents(see(slide(NULL_SCALE_CM - 3, NULL_SCALE_CM - 2, [], 8)));
  const steps = seen.slice(1).map((ua, index) => Math.abs(ua - seen[index]));
  expect(Math.max(...steps)).toBeGreaterThan(500);
});

test('dirt on the wire breaks contact for moments', () => {
  const steps = sweepSteps({
    row: 7,
    fromCm: 15,
    toCm: 25,
    secondsOfPasses: [4],
    pauseS: 0.3,
    profile: 'steady',
  });
  const readings = see(steps, { apparatus: { contact: { chatterPerS: 10, chatterMs: 12, bounces: 0 } } });
  const breaks = readings.contact.filter(
    (touches, index) => index > 0 && touches === 0 && readings.contact[index - 1] === 1,
  );
  expect(breaks.length).toBeGreaterThan(20);
});
