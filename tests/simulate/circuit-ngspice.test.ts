import { expect, test } from 'vitest';
import {
  type Circuit,
  type CircuitFaults,
  currentsAt,
  currentsLifted,
  NO_FAULTS,
} from '../../bridge/simulate/circuit.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { wireProfile } from '../../bridge/simulate/wire-profile.ts';
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

function drawCircuit(faults: Partial<CircuitFaults>): Circuit {
  const rows = 10;
  return {
    wire: wireProfile({
      rows,
      rowLengthCm: 100,
      resistanceOhm: within(5, 60),
      rowFactors: oneOf([null, Array.from({ length: rows }, () => within(0.97, 1.03))]),
      stripOhm: oneOf([0, within(0, 0.01)]),
    }),
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
    return { circuit: drawCircuit(faults), lengthCm };
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
