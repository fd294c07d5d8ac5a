import { describe, expect, test } from 'vitest';
import type { Reading } from '../../bridge/bench/reading.ts';
import { ContactSense } from '../../bridge/detect/contact-sense.ts';
import type { Shape } from '../../bridge/detect/estimate/shape.ts';
import { fitTaps } from '../../bridge/detect/estimate/tap-fit.ts';
import { LagKnowledge } from '../../bridge/detect/lag.ts';
import { LiftedLevel } from '../../bridge/detect/lifted-level.ts';
import { ReleaseWatch } from '../../bridge/detect/release.ts';
import { Settling } from '../../bridge/detect/settling.ts';
import { plateau, type Tap } from '../../bridge/detect/tap.ts';
import { Touch } from '../../bridge/detect/touch.ts';
import { times, whiteNoise } from './noises.ts';

/** Touches, taps, releases, the lag and the zero, on streams made by hand. */

const atOnce = () => new Settling(Number.NEGATIVE_INFINITY, 0.001);

describe('a touch', () => {
  /** Slides to and fro between two places, at 200 samples a second. */
  function slide(places: number[], cmPerS = 4) {
    const touch = new Touch(atOnce(), 0);
    const passes = [];
    let tS = 0;
    for (let leg = 1; leg < places.length; leg += 1) {
      const [from, to] = [places[leg - 1], places[leg]];
      const steps = Math.round((200 * Math.abs(to - from)) / cmPerS);
      for (let step = 0; step < steps; step += 1) {
        tS += 1 / 200;
        const x = from + ((to - from) * step) / steps;
        passes.push(touch.add(tS, x, 100 * (50 - x), 0));
      }
    }
    return { touch, passes: passes.filter((pass) => pass !== null) };
  }

  test('is cut where the jockey turns back', () => {
    const { touch, passes } = slide([45, 55, 46, 54]);
    const all = [...passes, touch.finish()];
    expect(all.length).toBe(3);
    for (const pass of all) expect(pass?.signsDiffer).toBe(true);
    expect(all.map((pass) => Math.sign((pass?.x.at(-1) ?? 0) - (pass?.x[pass.start] ?? 0)))).toEqual([
      1, -1, 1,
    ]);
  });

  test('of one side only has one sign', () => {
    expect(slide([45, 49]).touch.finish()?.signsDiffer).toBe(false);
  });

  test('that trembles by less than a turn is one pass', () => {
    const { passes } = slide([45, 48, 47.8, 51, 50.8, 55]);
    expect(passes.length).toBe(0);
  });

  test('held still is a tap; slid along it is none', () => {
    expect(slide([45, 45.2]).touch.asTap()?.x.length).toBeGreaterThan(4);
    expect(slide([45, 48]).touch.asTap()).toBeNull();
  });

  test('held still for an hour is kept in bounded memory', () => {
    const touch = new Touch(atOnce(), 0);
    for (let index = 0; index < 200_000; index += 1) touch.add(index / 1000, 45, 3, 0);
    expect(touch.samples).toBeLessThan(10_000);
  });
});

describe('what a blade does while it makes and breaks contact', () => {
  test('counts no sample within 30 ms of the first: it may bounce', () => {
    const settling = new Settling(0, 0);
    expect([0.001, 0.015, 0.029].map((tS) => settling.isOver(tS, 0))).toEqual([false, false, false]);
    expect(settling.isOver(0.031, 0)).toBe(true);
  });

  test('leaves the last two samples of a touch out: they may have been taken while it broke', () => {
    const tap = new Touch(atOnce(), 0);
    for (let index = 0; index < 50; index += 1) tap.add(index / 200, 45, index < 48 ? 100 : 3, 0);
    expect(tap.asTap()?.y).toEqual(new Float64Array(48).fill(100));
    const swept = new Touch(atOnce(), 0);
    for (let index = 0; index < 400; index += 1) swept.add(index / 200, 45 + 0.02 * index, 100 - index, 0);
    expect([...(swept.finish()?.fitted ?? [])].at(-1)).toBe(397);
  });
});

describe('settling', () => {
  test('takes a large current longer than a small one', () => {
    const settling = new Settling(0, 0.02);
    // e^-n of the deflection is missing after n lags: 2,000 counts to 0.1 count takes 9.9 lags, 2 counts take 3.
    expect(settling.isOver(0.03 + 0.02 * 5, 2000)).toBe(false);
    expect(settling.isOver(0.03 + 0.02 * 5, 2)).toBe(true);
    expect(settling.isOver(0.03 + 0.02 * 12, 1e9)).toBe(true);
  });

  test('after a flicker much shorter than the lag takes less long', () => {
    const settling = new Settling(0, 0.02);
    settling.flicker(10, 0.0002);
    expect(settling.isOver(10 + 0.02 * 6, 2000)).toBe(true);
    const whole = new Settling(0, 0.02);
    whole.flicker(10, 1);
    expect(whole.isOver(10 + 0.02 * 6, 2000)).toBe(false);
  });
});

describe('taps', () => {
  const STRAIGHT: Shape = {
    straighten: () => 1,
    tight: { perCm: 1e-4, perCm2: 1e-8 },
    sensed: { perCm: 2e-4, perCm2: 1e-7 },
    loose: { perCm: 1e-3, perCm2: 1e-6 },
    statedSlope: 40,
  };
  const tap = (xCm: number, y: number, saturated: Tap['saturated'] = 0): Tap => ({
    tS: xCm,
    xCm,
    xVariance: 1e-6,
    y,
    yVariance: 0.01,
    saturated,
  });
  const line = (xCm: number) => 2048 - 40 * (xCm - 50.3);

  test('on a line have its root', () => {
    const fit = fitTaps(
      [48, 49, 51, 52].map((x) => tap(x, line(x))),
      2048,
      STRAIGHT,
    );
    expect(fit).toMatchObject({ slope: expect.closeTo(-40, 6) });
    expect(typeof fit === 'string' ? fit : fit.rootCm).toBeCloseTo(50.3, 6);
  });

  test('one of which is off by far is left out', () => {
    const taps = [47, 48, 49, 51, 52, 53].map((x) => tap(x, line(x) + (x === 49 ? 30 : 0)));
    const fit = fitTaps(taps, 2048, STRAIGHT);
    expect(typeof fit === 'string' ? fit : fit.rootCm).toBeCloseTo(50.3, 5);
    expect(typeof fit === 'string' ? fit : fit.shown.x.length).toBe(5);
  });

  test('only two of which are believed where their line is as steep as the bench says', () => {
    const two = [49, 51].map((x) => tap(x, line(x)));
    expect(fitTaps(two, 2048, STRAIGHT)).toMatchObject({ rootCm: expect.closeTo(50.3, 6) });
    expect(fitTaps(two, 2048, { ...STRAIGHT, statedSlope: 60 })).toBe('not-a-line');
    expect(fitTaps(two, 2048, { ...STRAIGHT, statedSlope: null })).toMatchObject({
      slope: expect.closeTo(-40, 6),
    });
  });

  test('only two of which are not believed where one gives the slope and nothing else', () => {
    expect(
      fitTaps(
        [10, 50.5].map((x) => tap(x, line(x))),
        2048,
        STRAIGHT,
      ),
    ).toBe('not-a-line');
  });

  test('on one side, or saturated on both, are no null', () => {
    expect(
      fitTaps(
        [46, 47, 48].map((x) => tap(x, line(x))),
        2048,
        STRAIGHT,
      ),
    ).toBe('no-sign-change');
    expect(fitTaps([tap(40, 4095, 1), tap(60, 0, -1)], 2048, STRAIGHT)).toBe('saturated-near-null');
  });

  test('show a plateau with the variance it has; a saturated one gives its side only', () => {
    const t = times(80, 200);
    const held = { t, x: new Float64Array(80).fill(30), y: whiteNoise(80, 2), saturated: new Int8Array(80) };
    const seen = plateau(held, { stepCm: 0.02, sampleSigma: 2, humHz: null });
    expect(seen?.yVariance).toBeGreaterThan((0.7 * 4) / 80);
    expect(seen?.yVariance).toBeLessThan((1.4 * 4) / 80);
    // A place that never moves says no more than the step of its converter.
    expect(seen?.xVariance).toBeCloseTo(0.02 ** 2 / 12, 9);
    const full = plateau(
      { ...held, saturated: new Int8Array(80).fill(1) },
      { stepCm: 0.02, sampleSigma: 2, humHz: null },
    );
    expect(full?.saturated).toBe(1);
  });
});

describe('a lifted jockey', () => {
  function release(lagS: number, startOff: number, offs?: number[]) {
    const watch = new ReleaseWatch();
    watch.begin(0, startOff);
    for (let index = 1; index < 120; index += 1) {
      const tS = index / 200;
      const off = offs === undefined ? startOff * Math.exp(-(tS - 0.001) / lagS) : (offs[index - 1] ?? 0);
      const seen = watch.accept(tS, off, 0.5, Math.abs(off) > 2000);
      if (seen !== null) return seen;
    }
    return null;
  }

  test.each([0.01, 0.025, 0.05])('shows the lag of %f s by how its current falls', (lagS) => {
    const seen = release(lagS, 1500);
    expect(Math.abs((seen?.lagS ?? 0) - lagS)).toBeLessThan(2 * (seen?.uS ?? 0));
    expect(seen?.uS).toBeLessThan(0.1 * lagS);
  });

  test('from off the scale shows the lag by what is seen of its fall', () => {
    const seen = release(0.02, 6000);
    expect(Math.abs((seen?.lagS ?? 0) - 0.02)).toBeLessThan(2 * (seen?.uS ?? 0));
  });

  test('that bounces shows none: the fall does not begin where contact was lost', () => {
    expect(release(0, 2000, [320, 300, 0, 0])).toBeNull();
  });

  test('a small current gives no verdict', () => {
    expect(release(0.02, 10)).toBeNull();
  });
});

describe('the lag of a run', () => {
  test('is a few milliseconds before anything is known, and sure after some releases', () => {
    const lag = new LagKnowledge();
    expect(lag.estimate().uS).toBeGreaterThan(0.002);
    for (let count = 0; count < 9; count += 1) lag.addRelease({ lagS: 0.03, uS: 0.0005 });
    expect(lag.estimate().lagS).toBeCloseTo(0.03, 4);
    expect(lag.estimate().uS).toBeLessThan(0.001);
  });
});

describe('the zero', () => {
  test('is what the lifted jockey reads, and follows a drift', () => {
    const zero = new LiftedLevel(2048);
    const noise = whiteNoise(200_000, 1.5);
    noise.forEach((value, index) => {
      const tS = index / 200;
      zero.accept(tS, Math.round(2053.4 + (0.6 * tS) / 60 + value));
      if (index % 400 === 399) zero.interrupt();
    });
    for (const tS of [100, 500, 900]) {
      const { counts, uCounts } = zero.history.at(tS);
      expect(Math.abs(counts - (2053.4 + (0.6 * tS) / 60))).toBeLessThan(4 * uCounts + 0.05);
      expect(uCounts).toBeLessThan(0.1);
    }
  });

  test("is the bench file's, and unsure, until a lifted jockey was seen", () => {
    expect(new LiftedLevel(2048).history.at(10)).toMatchObject({ counts: 2048, seen: false });
  });
});

describe('contact, of a board that does not sense it', () => {
  const NOISE = whiteNoise(4000, 1);
  /** Off-zero current in counts and place in cm against time in s, as readings and what is made of them. */
  function sensed(seconds: number, at: (tS: number) => { off: number; cm: number }): Map<number, boolean> {
    const sense = new ContactSense(2048, () => null);
    const contacts = new Map<number, boolean>();
    for (let index = 0; index < 200 * seconds; index += 1) {
      const tS = index / 200;
      const { off, cm } = at(tS);
      const reading: Reading = {
        tS,
        afterGap: false,
        galCounts: Math.round(2048 + off + NOISE[index]),
        galSaturated: 0,
        scaleCm: cm,
        driverMa: null,
        contact: null,
        cell: 1,
        protect: false,
        load: false,
        row: 1,
      };
      sense.accept(reading, ({ reading: past, contact }) => contacts.set(past.tS, contact));
    }
    sense.drain(({ reading: past, contact }) => contacts.set(past.tS, contact));
    return contacts;
  }
  const lifted = { off: 0, cm: 40 };

  test('is held across a null that the jockey slides over', () => {
    const contacts = sensed(10, (tS) => {
      if (tS < 4 || tS > 8) return lifted;
      return { off: 60 * (6 - tS), cm: 40 + 2 * (tS - 4) };
    });
    expect([...contacts].filter(([tS, contact]) => tS > 4.2 && tS < 7.8 && !contact)).toEqual([]);
    expect([...contacts].filter(([tS, contact]) => (tS < 3.9 || tS > 8.1) && contact)).toEqual([]);
  });

  test('is lost when the jockey is lifted, carried across and set down again', () => {
    const contacts = sensed(8, (tS) => {
      if (tS < 4 || tS > 6) return lifted;
      if (tS < 4.8) return { off: 60, cm: 40 };
      return tS < 5.2 ? { off: 0, cm: 40 + 10 * (tS - 4.8) } : { off: -60, cm: 44 };
    });
    expect([...contacts].filter(([tS, contact]) => tS > 4.83 && tS < 5.17 && contact)).toEqual([]);
    expect(contacts.get(4.5)).toBe(true);
    expect(contacts.get(5.5)).toBe(true);
  });

  test('is not made of hum', () => {
    const contacts = sensed(6, (tS) => ({ off: 80 * Math.sin(2 * Math.PI * 50 * tS + 1), cm: 40 + tS }));
    expect([...contacts.values()].some((contact) => contact)).toBe(false);
  });

  test('every reading comes out once, in order', () => {
    const contacts = sensed(8, (tS) => (tS < 4 ? lifted : { off: 30 * Math.sin(3 * tS), cm: 40 + tS }));
    const inOrder = [...contacts.keys()];
    expect(inOrder.length).toBe(1600);
    expect(inOrder).toEqual([...inOrder].sort((a, b) => a - b));
  });
});
