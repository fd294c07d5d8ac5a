import { describe, expect, test } from 'vitest';
import { positionScale } from '../../bridge/bench/calibration.ts';
import { lengthFromA } from '../../bridge/bench/geometry.ts';
import {
  COMPARISON,
  INTERNAL_RESISTANCE,
  type ScenePatch,
  sceneWith,
} from '../../bridge/simulate/default-scene.ts';
import { moments } from '../../bridge/simulate/moments.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { trueLengthCm, truthOf } from '../../bridge/simulate/truth.ts';
import { evenScene } from './even-bench.ts';
import { simulateReadings, tapSteps } from './readings.ts';

/** What came of a run, touch by touch: what really happened, not what the board said of it. */
interface Touch {
  cell: number;
  protect: boolean;
  load: boolean;
  driverMa: number;
  lowestCm: number;
  highestCm: number;
  /** Currents in the first and the last sample of contact. */
  firstUa: number;
  lastUa: number;
  endS: number;
}

/** Longest break in s that is bounce and not a lift. */
const BOUNCE_S = 0.05;

function touches(scene: Scene): Touch[] {
  const found: Touch[] = [];
  for (const { physical } of moments(scene)) {
    if (!physical.contact) continue;
    const { tS, driverMa, galvanometerUa: ua } = physical;
    const cm = lengthFromA(scene.bench.wire, physical.row, physical.scaleCm);
    let touch = found[found.length - 1];
    if (touch === undefined || tS - touch.endS > BOUNCE_S) {
      const { cell, protect, load } = physical.switches;
      touch = {
        cell,
        protect,
        load,
        driverMa,
        lowestCm: cm,
        highestCm: cm,
        firstUa: ua,
        lastUa: ua,
        endS: tS,
      };
      found.push(touch);
    }
    touch.lowestCm = Math.min(touch.lowestCm, cm);
    touch.highestCm = Math.max(touch.highestCm, cm);
    touch.lastUa = ua;
    touch.endS = tS;
  }
  return found;
}

const ONE_SET = { ...COMPARISON, rheostatOhm: [4.1] };

describe('a student at a sound bench', () => {
  test.each([
    ['sweeps', { task: ONE_SET }],
    ['taps', { task: { ...ONE_SET, fine: 'taps' } }],
    ['leads swapped', { task: ONE_SET, apparatus: { faults: { galvanometerSwapped: true } } }],
    ['zero end right', { task: ONE_SET, bench: { wire: { zeroEnd: 'right' } } }],
    ['another order', { task: { ...ONE_SET, order: [1, 2, 2, 1] } }],
  ] satisfies [string, ScenePatch][])(
    'finds both nulls with the protective resistance out (%s)',
    (_, patch) => {
      const scene = sceneWith(patch);
      const fine = touches(scene).filter(({ protect }) => !protect);
      const [set] = truthOf(scene).sets;
      for (const [cell, trueCm] of [
        [1, set.l1Cm],
        [2, set.l2Cm],
      ] as const) {
        const near = fine.filter((touch) => touch.cell === cell);
        const lowest = Math.min(...near.map(({ lowestCm }) => lowestCm));
        const highest = Math.max(...near.map(({ highestCm }) => highestCm));
        expect(lowest).toBeLessThan(trueCm as number);
        expect(highest).toBeGreaterThan(trueCm as number);
        // The sweep's 3.5 cm either side, and what the coarse search may miss.
        expect(highest - lowest).toBeLessThan(12);
      }
    },
  );

  test('taps first with the protective resistance in, both ends of the wire before all', () => {
    const all = touches(sceneWith({ task: ONE_SET }));
    expect(all[0].highestCm).toBeLessThan(1);
    expect(all[1].lowestCm).toBeGreaterThan(999);
    const firstFine = all.findIndex(({ protect }) => !protect);
    expect(firstFine).toBeGreaterThan(3);
    expect(all.slice(0, firstFine).every(({ protect }) => protect)).toBe(true);
  });

  test('does four sets and two cells in three to five minutes', () => {
    let endS = 0;
    for (const { physical } of moments(sceneWith({}))) endS = physical.tS;
    expect(endS).toBeGreaterThan(180);
    expect(endS).toBeLessThan(300);
  });

  test('takes each length open and loaded in internal-resistance work', () => {
    const scene = sceneWith({ task: INTERNAL_RESISTANCE });
    const fine = touches(scene).filter(({ protect }) => !protect);
    expect(fine.map(({ load }) => load)).toEqual([false, true, false, true, false, true]);
    for (const [index, set] of truthOf(scene).sets.entries()) {
      for (const [touch, trueCm] of [
        [fine[2 * index], set.l1Cm],
        [fine[2 * index + 1], set.loaded1Cm],
      ] as const) {
        expect(touch.firstUa).toBeGreaterThan(0);
        expect(touch.lowestCm).toBeLessThan(trueCm as number);
        expect(touch.highestCm).toBeGreaterThan(trueCm as number);
      }
    }
  });
});

describe('a student at a bench with a fault gives the cell up', () => {
  const ends = (patch: ScenePatch) => {
    const all = touches(sceneWith({ task: ONE_SET, ...patch }));
    return {
      signs: all.slice(0, 2).map(({ firstUa }) => Math.sign(firstUa)),
      fine: all.filter(({ protect }) => !protect),
      all,
    };
  };

  // The signs and currents are those that design.md states for each fault.
  test.each([
    ['driver weak', { apparatus: { driver: { emfV: 1.1 } } }, [1, 1]],
    ['driver key dead', { apparatus: { faults: { keyDead: true } } }, [1, 1]],
    ['driver reversed', { apparatus: { faults: { driverReversed: true } } }, [1, 1]],
    ['cells reversed', { apparatus: { faults: { cellsReversed: [1, 2] } } }, [-1, -1]],
    ['wire parted', { apparatus: { faults: { wireBrokenAtCm: 473 } } }, [1, -1]],
    ['branch open', { apparatus: { faults: { branchOpen: true } } }, [0, 0]],
  ] satisfies [string, ScenePatch, number[]][])('%s', (_, patch, signs) => {
    const seen = ends(patch);
    expect(seen.signs).toEqual(signs);
    expect(seen.fine).toEqual([]);
    // Both ends and a few places between, for each cell.
    expect(seen.all.length).toBeGreaterThanOrEqual(10);
  });

  test('weak: falling along the wire; reversed driver: rising; dead key: flat, no driver current', () => {
    const [weakA, weakB] = ends({ apparatus: { driver: { emfV: 1.1 } } }).all;
    expect(weakB.lastUa).toBeLessThan(weakA.lastUa);
    const [backA, backB] = ends({ apparatus: { faults: { driverReversed: true } } }).all;
    expect(backB.lastUa).toBeGreaterThan(backA.lastUa);
    const [openA, openB] = ends({ apparatus: { faults: { keyDead: true } } }).all;
    expect(openB.lastUa / openA.lastUa).toBeGreaterThan(0.99);
    expect(openA.driverMa).toBe(0);
  });
});

describe('the truth', () => {
  test('obeys (l1 + alpha)/(l2 + alpha) = E1/E2 and l + alpha ~ 1/I exactly', () => {
    const truth = truthOf(evenScene({ apparatus: { thermalEmfUv: { 1: 0, 2: 0 } } }));
    const products = truth.sets.map((set) => {
      const [l1, l2] = [set.l1Cm as number, set.l2Cm as number];
      expect((l1 + truth.endACm) / (l2 + truth.endACm)).toBeCloseTo(truth.ratio, 12);
      return (l1 + truth.endACm) * set.driverMa;
    });
    for (const product of products) expect(product / products[0]).toBeCloseTo(1, 12);
  });

  test('obeys r = R (l0/l - 1) with the end correction added to both lengths', () => {
    const truth = truthOf(evenScene({ apparatus: { thermalEmfUv: { 1: 0, 2: 0 } } }));
    const { l1Cm, loaded1Cm } = truth.sets[0];
    const ratio = ((l1Cm as number) + truth.endACm) / ((loaded1Cm as number) + truth.endACm);
    expect(truth.loadOhm * (ratio - 1)).toBeCloseTo(truth.r1Ohm, 9);
  });

  test('is what the readings show: settled taps at the true null read the zero', () => {
    const trueCm = trueLengthCm(sceneWith({}), { rheostatOhm: 4.1 }) as number;
    const scaleCm = trueCm - 600;
    const steps = [
      { do: 'turn', switches: { rheostatOhm: 4.1, protect: false }, seconds: 0.1 } as const,
      ...tapSteps({ row: 7, scalesCm: [scaleCm, scaleCm - 1], holdS: 1 }),
    ];
    const scene = sceneWith({
      task: { kind: 'script', procedure: 'emf-comparison', steps },
      apparatus: { driver: { driftPercentPerMin: 0 } },
      frontEnd: {
        galvanometer: {
          noiseUa: 0,
          hum: { amplitudeUa: 0 },
          spikes: { share: 0 },
          driftCountsPerMin: 0,
          zeroCounts: 2050,
        },
        position: { noiseCm: 0, backlashCm: 0, scaleErrorCm: 0 },
      },
    });
    const readings = simulateReadings(scene);
    const held = [...readings.tS.keys()].filter((index) => readings.contact[index] === 1);
    const middle = held[Math.floor(held.length / 4)];
    expect(readings.gal[middle]).toBe(2050);
    expect(positionScale(scene.bench.position!)(readings.pos[middle])).toBeCloseTo(scaleCm, 1);
    // One centimetre nearer A: the cell wins.
    expect(readings.gal[held[Math.floor((3 * held.length) / 4)]]).toBeGreaterThan(2250);
  });
});
