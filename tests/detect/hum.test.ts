import { describe, expect, test } from 'vitest';
import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { aliasesHum, findHum } from '../../bridge/detect/estimate/hum.ts';
import { Run } from '../../bridge/run/run.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { evenScene } from '../simulate/even-bench.ts';
import { sweepSteps } from '../simulate/readings.ts';
import { times, whiteNoise } from './noises.ts';

/** Mains hum by itself, and below a whole run at sampling rates near its frequency and its double. */

const sine = (t: Float64Array, hz: number, amplitude: number, phase = 1) =>
  t.map((tS) => amplitude * Math.sin(2 * Math.PI * hz * tS + phase));

const among = (noise: Float64Array, hum: Float64Array) => noise.map((value, index) => value + hum[index]);

describe('hum', () => {
  const t = times(600, 200);

  test.each([49.87, 50.03, 60.1])('of %f Hz is found where it is', (hz) => {
    const found = findHum(t, among(whiteNoise(600, 1), sine(t, hz, 3)));
    expect(found?.hz).toBeCloseTo(hz, 1);
  });

  test('is hardly ever seen in noise alone', () => {
    const seen = Array.from({ length: 200 }, (_, seed) => findHum(t, whiteNoise(600, 1, seed + 1)));
    expect(seen.filter((hum) => hum !== null).length).toBeLessThan(3);
  });

  /** Hum at f and at rate - f have the same samples: either is right. */
  test.each([98, 99.5, 100, 100.5, 101, 119.5, 120, 121])('is found at %f samples a second', (rateHz) => {
    const slow = times(300, rateHz);
    const hz = rateHz < 110 ? 50.03 : 60.03;
    for (const phase of [0, 0.7, 1.4, 2.1, 2.8]) {
      const found = findHum(slow, among(whiteNoise(300, 1), sine(slow, hz, 30, phase)));
      const off = Math.min(Math.abs((found?.hz ?? 0) - hz), Math.abs(rateHz - (found?.hz ?? 0) - hz));
      // At half the rate itself, the frequency moves hardly anything within three seconds.
      expect(off).toBeLessThan(Math.abs(rateHz - 2 * hz) < 0.1 ? 0.15 : 0.02);
    }
  });

  test('that many samples at its crests are missing of is found all the same', () => {
    const all = among(whiteNoise(600, 1), sine(t, 50.03, 30));
    const kept = Array.from(t.keys()).filter((index) => index < 400 || all[index] < 10);
    const found = findHum(
      Float64Array.from(kept, (index) => t[index]),
      Float64Array.from(kept, (index) => all[index]),
    );
    expect(found?.hz).toBeCloseTo(50.03, 1);
  });

  test('comes out slow only where its frequency is near a multiple of the rate', () => {
    const slow = (rateHz: number, humHz: number, withinS = 1) => aliasesHum(rateHz, humHz, withinS);
    expect([25, 49, 50, 51].map((rateHz) => slow(rateHz, 50))).toEqual([true, true, true, true]);
    expect([48, 52, 90, 100, 101, 200].map((rateHz) => slow(rateHz, 50))).toEqual(Array(6).fill(false));
    // A longer look tells slower beats apart.
    expect(slow(49, 50, 2)).toBe(false);
  });
});

const formulas = await loadFormulas();

interface HumRun {
  view: RunView;
  /** Of the nulls, in cm along the scale. */
  errorsCm: number[];
}

/** Four passes across a null with hum of 40 uA, twice the current that a centimetre makes. */
function runWithHum(humHz: number, rateHz: number, cmPerS = 2.5): HumRun {
  const scene = evenScene({
    frontEnd: {
      galvanometer: { hum: { amplitudeUa: 40, frequencyHz: humHz } },
      position: { scaleErrorCm: 0, backlashCm: 0 },
    },
    apparatus: { thermalEmfUv: { 1: 0, 2: 0 }, driver: { driftPercentPerMin: 0 } },
    board: { rateHz },
  });
  const start = { rheostatOhm: 4.1, protect: false };
  const { row, scaleCm } = placeOnWire(scene.bench.wire, trueLengthCm(scene, start) ?? Number.NaN);
  const steps = [
    { do: 'wait' as const, seconds: 10 },
    ...sweepSteps({
      row,
      fromCm: scaleCm - 3.5,
      toCm: scaleCm + 3.5,
      secondsOfPasses: Array(4).fill(7 / cmPerS),
      pauseS: 0.3,
      profile: 'smooth',
    }),
    { do: 'wait' as const, seconds: 5 },
  ];
  const fold = new Run({ formulas });
  const task = { kind: 'script' as const, procedure: 'emf-comparison' as const, start, steps };
  for (const record of simulateRun({ ...scene, task })) fold.addRecord(record);
  const view = fold.view();
  return { view, errorsCm: view.nulls.map((nullPoint) => nullPoint.scaleCm - scaleCm) };
}

const saysAliased = ({ view }: HumRun) => view.findings.some(({ code }) => code === 'hum-aliased');

describe.each([50, 50.03, 60, 60.03])('a run with hum of %f Hz', (humHz) => {
  test.each([98, 99, 100, 101, 102, 117, 118, 119, 120, 121, 122, 123, 200])(
    'at %i samples a second has its nulls as if there were none',
    (rateHz) => {
      const { view, errorsCm } = runWithHum(humHz, rateHz);
      expect(view.nulls).toHaveLength(4);
      view.nulls.forEach(({ uReadCm, uCm }, index) => {
        expect(uReadCm).toBeLessThan(0.005);
        expect(Math.abs(errorsCm[index])).toBeLessThan(Math.min(3 * uCm, 0.01));
      });
    },
  );

  test.each([2.5, 7])('in step with the sampling, swept at %f cm/s, gives a finding', (cmPerS) => {
    for (const off of [-1, 0, 1])
      expect(saysAliased(runWithHum(humHz, Math.round(humHz) + off, cmPerS))).toBe(true);
  });

  test.each([2.5, 7])(
    'two samples a second out of step, swept at %f cm/s, is fitted and gives no finding',
    (cmPerS) => {
      for (const off of [-2, 2]) {
        const run = runWithHum(humHz, Math.round(humHz) + off, cmPerS);
        expect(saysAliased(run)).toBe(false);
        expect(run.errorsCm).toHaveLength(4);
        for (const errorCm of run.errorsCm) expect(Math.abs(errorCm)).toBeLessThan(0.02);
      }
    },
  );
});

test('a rate that folds twice the mains frequency onto a slow current gives a finding, other rates do not', () => {
  const says = (rateHz: number) => saysAliased(runWithHum(50.03, rateHz));
  expect([100, 101, 119, 120].map(says)).toEqual([true, true, true, true]);
  expect([90, 98, 102, 110, 122, 150, 200].map(says)).toEqual(Array(7).fill(false));
});
