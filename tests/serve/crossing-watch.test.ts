import { describe, expect, it } from 'vitest';
import type { LiveReading } from '../../bridge/run/view.ts';
import { type CrossingView, CrossingWatch } from '../../bridge/serve/crossing-watch.ts';
import { randomStream } from '../../bridge/simulate/random.ts';

/** A bench of 10 µA a centimetre with its null at 500 cm, 200 readings a second. */
const NULL_CM = 500;
const UA_PER_CM = 10;
const NOISE_UA = 0.02;

function bench() {
  const watch = new CrossingWatch();
  const noise = randomStream(1, 'noise');
  const found: CrossingView[] = [];
  let readings = 0;
  const read = (given: Partial<LiveReading>): void => {
    readings += 1;
    const crossing = watch.add({
      atS: readings / 200,
      contact: true,
      scaleCm: null,
      lengthCm: null,
      currentUa: null,
      saturated: false,
      driverMa: 110,
      cell: 1,
      row: null,
      protect: false,
      load: false,
      afterGap: false,
      ...given,
    });
    if (crossing !== null) found.push(crossing);
  };
  const at = (lengthCm: number, more: Partial<LiveReading> = {}) =>
    read({
      lengthCm,
      scaleCm: lengthCm % 100,
      currentUa: UA_PER_CM * (NULL_CM - lengthCm) + NOISE_UA * noise.normal(),
      ...more,
    });
  return {
    found,
    at,
    lift: (count: number, more: Partial<LiveReading> = {}) => {
      for (let n = 0; n < count; n += 1)
        read({ contact: false, currentUa: NOISE_UA * noise.normal(), ...more });
    },
    sweep: (fromCm: number, toCm: number, more: Partial<LiveReading> = {}) => {
      for (let part = 0; part <= 1; part += 1 / 200) at(fromCm + part * (toCm - fromCm), more);
    },
    tap: (lengthCm: number, more: Partial<LiveReading> = {}) => {
      for (let n = 0; n < 20; n += 1) at(lengthCm, more);
    },
    noise: () => NOISE_UA * noise.normal(),
  };
}

describe('a crossing of the null', () => {
  it('is told at the first reading beyond noise on the other side, with its place', () => {
    const run = bench();
    run.lift(200);
    run.sweep(497, 500.005);
    expect(run.found).toEqual([]);
    run.at(500.03);
    expect(run.found).toHaveLength(1);
    expect(run.found[0]).toMatchObject({ number: 1, by: 'sweep', cell: 1, fine: true });
    expect(run.found[0].lengthCm).toBeCloseTo(NULL_CM, 1);
  });

  it('is told as soon after touches, whose deflection dies away while the jockey is lifted', () => {
    const run = bench();
    run.lift(200);
    for (let touch = 0; touch < 5; touch += 1) {
      run.tap(495);
      for (let n = 0; n < 20; n += 1) run.at(495, { contact: false, currentUa: 50 * Math.exp(-n / 3) });
      run.lift(20);
    }
    run.sweep(497, 500.005);
    run.at(500.03);
    expect(run.found).toHaveLength(1);
  });

  it('is told once for each way, there and back', () => {
    const run = bench();
    run.lift(200);
    run.sweep(497, 503);
    run.sweep(503, 497);
    expect(run.found.map(({ number }) => number)).toEqual([1, 2]);
  });

  it('is told at the first tap of the other side, coarse where the protective resistance is in', () => {
    const run = bench();
    run.lift(200);
    run.tap(498, { protect: true });
    run.lift(60);
    run.tap(502, { protect: true });
    expect(run.found).toMatchObject([{ by: 'taps', fine: false, betweenCm: [498, 502], lengthCm: null }]);
  });

  it('is none in the noise of a lifted jockey, nor of one that stands at the null', () => {
    const run = bench();
    run.lift(2000);
    run.tap(500);
    run.lift(2000);
    expect(run.found).toEqual([]);
  });

  it('is none where the two ends of the wire are tried', () => {
    const run = bench();
    run.lift(200);
    run.tap(5, { currentUa: 99, saturated: true });
    run.lift(60);
    run.tap(995, { currentUa: -99, saturated: true });
    expect(run.found).toEqual([]);
  });

  it.each([
    ['without a contact sense', { contact: null }, { contact: null }],
    ['at places that nobody knows', { lengthCm: null }, {}],
  ] as const)('is none where the two ends are tried %s', (_, touched, lifted) => {
    const run = bench();
    run.lift(200);
    run.tap(5, { currentUa: 49, ...touched });
    run.lift(60, lifted);
    run.tap(995, { currentUa: -49, ...touched });
    expect(run.found).toEqual([]);
  });

  it('is told without a place where the contact held and no place is known', () => {
    const run = bench();
    run.lift(200);
    run.sweep(497, 503, { lengthCm: null });
    expect(run.found).toMatchObject([{ by: 'sweep', betweenCm: null, lengthCm: null }]);
  });

  it('has an interval in place of a length where a reading is beyond the span', () => {
    const run = bench();
    run.lift(200);
    run.at(496, { saturated: true });
    run.at(512, { saturated: true });
    expect(run.found).toMatchObject([{ by: 'sweep', betweenCm: [496, 512], lengthCm: null }]);
  });

  it('is none where another cell comes into circuit, or the driver’s key is opened', () => {
    const run = bench();
    run.lift(200);
    run.tap(498);
    run.tap(502, { cell: 2 });
    run.lift(60);
    run.tap(502, { cell: 2 });
    run.tap(502, { cell: 2, driverMa: 0, currentUa: 90 });
    expect(run.found).toEqual([]);
  });

  it('comes at most three times a second, whatever hum there is', () => {
    const run = bench();
    run.lift(200);
    for (let n = 0; n < 400; n += 1)
      run.at(500, { currentUa: 5 * Math.sin((2 * Math.PI * 50 * n) / 200 + 0.5) });
    expect(run.found.length).toBeLessThanOrEqual(6);
  });

  it('is seen without a contact sense, too', () => {
    const run = bench();
    for (let n = 0; n < 400; n += 1) run.at(500, { contact: null, currentUa: run.noise() });
    run.sweep(497, 503, { contact: null });
    expect(run.found).toMatchObject([{ by: 'sweep' }]);
  });

  it('is by taps without a contact sense where time passed between the two sides', () => {
    const run = bench();
    for (let n = 0; n < 400; n += 1) run.at(500, { contact: null, currentUa: run.noise() });
    run.tap(498, { contact: null });
    run.lift(100, { contact: null });
    run.tap(502, { contact: null });
    expect(run.found).toMatchObject([{ by: 'taps', betweenCm: [498, 502], lengthCm: null }]);
  });
});
