import { describe, expect, test } from 'vitest';
import {
  balancingLengthCm,
  type Circuit,
  currentsAt,
  currentsLifted,
  loopOhm,
  NO_FAULTS,
  restingDriverMa,
} from '../../bridge/simulate/circuit.ts';
import { metreWire, textbook } from './circuits.ts';

/** Rheostat in ohm that makes a cell balance at a length of an ideal metre of wire: the drop along the wire set by hand. */
const rheostatFor = (circuit: Circuit, emfV: number, lengthCm: number): number =>
  (circuit.driver.emfV * circuit.wire.ohmAt(lengthCm)) / emfV - loopOhm({ ...circuit, rheostatOhm: 0 });

const nullOf = (circuit: Circuit, emfV: number, resistanceOhm = 0.5): number | null =>
  balancingLengthCm({ ...circuit, cell: { emfV, resistanceOhm } });

describe('worked examples of a textbook (NCERT, Physics, Class XII, Part I, chapter 3)', () => {
  test('example 3.12: 1.25 V at 35.0 cm and 63.0 cm make 2.25 V', () => {
    const circuit = textbook({ driver: { emfV: 4, resistanceOhm: 0.3 } });
    const set = { ...circuit, rheostatOhm: rheostatFor(circuit, 1.25, 35) };
    expect(nullOf(set, 1.25)).toBeCloseTo(35, 9);
    expect(nullOf(set, 2.25)).toBeCloseTo(63, 9);
  });

  test('exercise 3.22: 1.02 V at 67.3 cm and 82.3 cm make 1.247 V, the 600 kilohm in or out', () => {
    const circuit = textbook({ driver: { emfV: 2, resistanceOhm: 0.4 } });
    const set = { ...circuit, rheostatOhm: rheostatFor(circuit, 1.02, 67.3) };
    for (const seriesOhm of [0, 600_000]) {
      expect(nullOf({ ...set, seriesOhm }, 1.02)).toBeCloseTo(67.3, 9);
      // The book rounds to 1.247 V, which is worth 0.03 cm here.
      expect(Math.abs((nullOf({ ...set, seriesOhm }, 1.247) as number) - 82.3)).toBeLessThan(0.03);
    }
  });

  test('exercise 3.24: 76.3 cm open and 64.8 cm with 9.5 ohm make an internal resistance of 1.69 ohm', () => {
    const circuit = textbook({});
    const set = { ...circuit, rheostatOhm: rheostatFor(circuit, 1.5, 76.3) };
    const openCm = nullOf(set, 1.5, 1.69) as number;
    const loadedCm = nullOf({ ...set, loadOhm: 9.5 }, 1.5, 1.69) as number;
    expect(openCm).toBeCloseTo(76.3, 9);
    // 1.69 is rounded; half a unit of its last figure is worth 0.03 cm.
    expect(Math.abs(loadedCm - 64.8)).toBeLessThan(0.03);
    expect(9.5 * (openCm / loadedCm - 1)).toBeCloseTo(1.69, 9);
  });
});

describe('the balancing length', () => {
  const circuit = textbook({
    endAOhm: 0.02,
    endBOhm: 0.03,
    rheostatOhm: 1,
    thermalEmfV: 3e-6,
    driver: { emfV: 3, resistanceOhm: 0.5 },
  });
  const lengthCm = balancingLengthCm(circuit) as number;

  test('is where no current flows, and the sign changes there as the format says', () => {
    expect(Math.abs(currentsAt(circuit, lengthCm).galvanometerUa)).toBeLessThan(1e-9);
    expect(currentsAt(circuit, lengthCm - 0.01).galvanometerUa).toBeGreaterThan(0);
    expect(currentsAt(circuit, lengthCm + 0.01).galvanometerUa).toBeLessThan(0);
  });

  test('does not move with the protective resistance, which only lowers the sensitivity', () => {
    const slope = (c: Circuit) => currentsAt(c, lengthCm - 1).galvanometerUa;
    const guarded = { ...circuit, seriesOhm: 4700 };
    expect(balancingLengthCm(guarded)).toBe(lengthCm);
    expect(slope(circuit) / slope(guarded)).toBeGreaterThan(20);
  });

  test('leaves the driver current as if the jockey were lifted', () => {
    expect(currentsAt(circuit, lengthCm).driverMa).toBeCloseTo(currentsLifted(circuit).driverMa, 9);
  });

  test.each([
    ['the key is open', { keyClosed: false }],
    ['no cell is in circuit', { cell: null }],
    ['the driver is too weak', { driver: { emfV: 1.2, resistanceOhm: 0.5 } }],
    ['the cell is reversed', { faults: { ...NO_FAULTS, cellReversed: true } }],
    ['the driver is reversed', { faults: { ...NO_FAULTS, driverReversed: true } }],
    ['the wire is parted', { faults: { ...NO_FAULTS, wireBrokenAtCm: 90 } }],
    ['a lead of the branch is off', { faults: { ...NO_FAULTS, branchOpen: true } }],
  ])('is nowhere when %s', (_, parts) => {
    expect(balancingLengthCm({ ...circuit, ...parts })).toBeNull();
  });
});

test('a parted wire makes the current jump at one place, and the driver current none', () => {
  const circuit = textbook({ faults: { ...NO_FAULTS, wireBrokenAtCm: 40 }, endAOhm: 0.01 });
  expect(currentsAt(circuit, 39.9).galvanometerUa).toBeGreaterThan(1000);
  expect(currentsAt(circuit, 40.1).galvanometerUa).toBeLessThan(-1000);
  expect(restingDriverMa(circuit)).toBe(0);
});

test('the ends of the wire can be touched without end resistances', () => {
  const circuit = textbook({ wire: metreWire(), endAOhm: 0 });
  expect(currentsAt(circuit, 0).galvanometerUa).toBeCloseTo((1e6 * 1.5) / 100.5, 6);
  expect(Number.isFinite(currentsAt(circuit, 100).driverMa)).toBe(true);
});
