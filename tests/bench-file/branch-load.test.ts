import { expect, test } from 'vitest';
import { unloadedDriverMa } from '../../bridge/bench/branch-load.ts';
import type { Reading } from '../../bridge/bench/reading.ts';
import { circuitOf, profileOf, restingSwitches } from '../../bridge/simulate/apparatus.ts';
import { currentsAt, restingDriverMa } from '../../bridge/simulate/circuit.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';

/** The driver current that balancing lengths go by, against the solved circuit (itself held to ngspice). */

const { bench, apparatus } = DEFAULT_SCENE;
const circuit = circuitOf(
  apparatus,
  profileOf(DEFAULT_SCENE),
  { ...restingSwitches(DEFAULT_SCENE), protect: false, rheostatOhm: 4.1 },
  0,
);
const { zeroCounts, microampsPerCount } = bench.galvanometer;

function readingAt(scaleCm: number, changes: Partial<Reading> = {}): Reading {
  const { galvanometerUa, driverMa } = currentsAt(circuit, 600 + scaleCm);
  return {
    tS: 0,
    afterGap: false,
    galCounts: zeroCounts + galvanometerUa / microampsPerCount,
    galSaturated: 0,
    scaleCm,
    driverMa,
    contact: true,
    cell: 1,
    protect: false,
    load: false,
    row: 7,
    ...changes,
  };
}

test.each([5, 20, 35])("at %d cm of row 7 the branch's share is put back", (scaleCm) => {
  const reading = readingAt(scaleCm);
  const resting = restingDriverMa(circuit);
  const before = Math.abs((reading.driverMa ?? 0) / resting - 1);
  const after = Math.abs((unloadedDriverMa(bench, reading, zeroCounts) ?? 0) / resting - 1);
  expect(after).toBeLessThan(before / 50);
});

test('off the scale in contact the load is not known; lifted it stands as it is', () => {
  expect(unloadedDriverMa(bench, readingAt(5, { galSaturated: 1 }), zeroCounts)).toBeNull();
  expect(unloadedDriverMa(bench, readingAt(5, { contact: false, driverMa: 111 }), zeroCounts)).toBe(111);
});
