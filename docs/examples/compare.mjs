// Two sets of balancing lengths to E1/E2 with its uncertainty. The numbers are invented.
import { compareEmfs, loadFormulas, resultText } from 'tenwire/calc-core';

const length = (lengthCm, row, atS) => ({
  lengthCm,
  uOwnCm: 0.02,
  ownDof: 20,
  common: {},
  sensorScaleCm: row % 2 === 1 ? lengthCm - 100 * (row - 1) : 100 * row - lengthCm,
  scaleSense: row % 2 === 1 ? 1 : -1,
  row,
  atS,
});
const sets = [
  { set: 1, driverMa: 100.2, l1: length(921.46, 10, 60), l2: length(771.25, 8, 90) },
  { set: 2, driverMa: 140.4, l1: length(657.66, 7, 180), l2: length(550.39, 6, 210) },
];
// What nobody stated is null: ordinary sizes stand in for it.
const bench = {
  wireLengthCm: 1000,
  rowLengthCm: 100,
  wireResistanceOhm: 20,
  position: { standardUncertaintyCm: 0.03, correlationCm: 15 },
  endCorrection: { valueCm: 0.4, standardUncertaintyCm: 0.1 },
  uniformityRelative: null,
  rowSpreadRelative: null,
  turnCorrectionCm: null,
  thermalEmfUv: null,
  steadyRelativePerMin: { 1: null, 2: null },
};
const { result } = compareEmfs(sets, bench, { formulas: await loadFormulas() });
console.log(`${result.quantity} = ${resultText(result)}`);
