import { expect, test } from 'vitest';
import {
  balancingLengthCm,
  type Circuit,
  type CircuitFaults,
  currentsAt,
  currentsLifted,
  NO_FAULTS,
} from '../../bridge/simulate/circuit.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { drawnWire, type WireProfile, wireProfile } from '../../bridge/simulate/wire-profile.ts';
import { type State, solveWithNgspice } from './ngspice.ts';

/** Outside check: ngspice, the reference circuit simulator, solves the same circuits from their netlists. */

const random = randomStream(20, 'ngspice states');
const within = (low: number, high: number): number => low + (high - low) * random.uniform();
const oneOf = <T>(choices: readonly T[]): T => choices[Math.floor(random.uniform() * choices.length)];

const FAULTS: readonly Partial<CircuitFaults>[] = [
  {},
  { cellReversed: true },
  { driverReversed: true },
  { galvanometerSwapped: true },
  { wireBrokenAtCm: 430 },
  { branchOpen: true },
  { cellReversed: true, driverReversed: true, galvanometerSwapped: true },
  { wireBrokenAtCm: 430, cellReversed: true },
];

/** Even and uneven ones, up to what no bench has. */
function drawShape() {
  const sizes = {
    resistanceOhm: within(5, 60),
    walkPer10Cm: oneOf([0, within(0, 0.03)]),
    rowSpread: oneOf([0, within(0, 0.02)]),
    ...oneOf([
      { stripOhm: 0, stripSpreadOhm: 0 },
      { stripOhm: within(0.005, 0.02), stripSpreadOhm: 0.0005 },
    ]),
  };
  return drawnWire(sizes, { rows: 10, rowLengthCm: 100 }, () => random);
}

function drawState(faults: Partial<CircuitFaults>, lengthCm: number | null): State {
  const shape = drawShape();
  return { shape, circuit: drawCircuit(wireProfile(shape), faults), lengthCm };
}

function drawCircuit(wire: WireProfile, faults: Partial<CircuitFaults>): Circuit {
  return {
    wire,
    endAOhm: oneOf([0, within(0, 0.1)]),
    endBOhm: oneOf([0, within(0, 0.1)]),
    driver: { emfV: within(1, 6), resistanceOhm: within(0.01, 2) },
    rheostatOhm: oneOf([0, within(0, 40)]),
    keyClosed: random.uniform() < 0.85,
    cell: random.uniform() < 0.95 ? { emfV: within(0.5, 2.2), resistanceOhm: within(0.05, 5) } : null,
    loadOhm: oneOf([null, within(1, 50)]),
    seriesOhm: oneOf([0, 4700, 1e5]),
    galvanometerOhm: within(20, 500),
    thermalEmfV: oneOf([0, within(-2e-5, 2e-5)]),
    faults: { ...NO_FAULTS, ...faults },
  };
}

/** Every fault many times, jockey at both ends, lifted, and anywhere between. */
const states: State[] = FAULTS.flatMap((faults) =>
  Array.from({ length: 40 }, (_, index): State => {
    const lengthCm = index === 0 ? null : index === 1 ? 0 : index === 2 ? 1000 : within(0, 1000);
    return drawState(faults, lengthCm);
  }),
);

test('galvanometer and driver currents agree with ngspice to 1e-5', { timeout: 60_000 }, () => {
  const theirs = solveWithNgspice(states);
  let compared = 0;
  for (const [index, { circuit, lengthCm }] of states.entries()) {
    const ours = lengthCm === null ? currentsLifted(circuit) : currentsAt(circuit, lengthCm);
    for (const quantity of ['galvanometerUa', 'driverMa'] as const) {
      const expected = theirs[index][quantity];
      // For currents that are truly none ngspice itself answers some 1e-15 A of rounding; 1e-7 uA is 1e-13 A.
      expect(
        Math.abs(ours[quantity] - expected),
        `state ${index}, ${quantity}: ${ours[quantity]} against ${expected}`,
      ).toBeLessThanOrEqual(1e-5 * Math.abs(expected) + 1e-7);
      if (Math.abs(expected) > 1e-6) compared += 1;
    }
  }
  expect(compared).toBeGreaterThan(states.length);
});

test('at the balancing length of an uneven wire ngspice finds no current above its rounding', () => {
  const balanced = Array.from({ length: 60 }, () => drawState({}, 0))
    .map((state) => ({ ...state, lengthCm: balancingLengthCm(state.circuit) }))
    .filter(({ lengthCm }) => lengthCm !== null);
  expect(balanced.length).toBeGreaterThan(15);
  for (const [index, { galvanometerUa }] of solveWithNgspice(balanced).entries()) {
    const { circuit, lengthCm } = balanced[index];
    const perCm = currentsAt(circuit, (lengthCm ?? 0) - 0.5).galvanometerUa * 2;
    expect(Math.abs(galvanometerUa / perCm), `state ${index}: cm off`).toBeLessThan(1e-6);
  }
});
