import type { ReportJson } from '../../../bridge/report/report-json.ts';
import type { ComparisonSetView } from '../../../bridge/run/view.ts';

/** What a hand calculation takes from the record, with the digits it is printed with. */

export interface GivenLength {
  name: string;
  cell: 1 | 2;
  set: number;
  driverMa: number;
  weight: number;
  lengthCm: number;
  row: number;
  scaleCm: number;
  /** +1 where the length grows with the scale. */
  sense: 1 | -1;
  /** Standard uncertainty of the reading, in 10⁻⁴ cm. */
  u: number;
}

export interface Given {
  lengths: GivenLength[];
  uPositionCm: number;
  correlationCm: number;
  uWire: number;
  uTurnCm: number;
  uThermalUv: number;
  uAlphaCm: number;
  wireOhm: number;
  wireCm: number;
  rowCm: number;
  /** Contributions that come with the nulls, in 10⁻⁶, by symbol. */
  withNulls: { symbol: string; contribution: number }[];
}

export const round = (value: number, decimals: number): number => Number(value.toFixed(decimals));

export function givenOf(report: ReportJson): Given {
  const { bench, budget } = report;
  if (bench?.position === undefined || report.result === null)
    throw new Error('the example needs a bench and a result');
  if (bench.wire.zeroEnd !== 'left') throw new Error('the example is written for A at the left end');
  const uOf = (symbol: string) =>
    budget.find((row) => row.symbol === symbol)?.standardUncertainty ?? Number.NaN;
  const { rowLengthCm, rows, resistanceOhm } = bench.wire;
  return {
    lengths: (report.sets as ComparisonSetView[]).flatMap((set) =>
      ([1, 2] as const).map((cell) => givenLength(report, set, cell, rowLengthCm)),
    ),
    uPositionCm: uOf('d_position'),
    correlationCm: bench.position.correlationCm,
    uWire: uOf('d_wire'),
    uTurnCm: uOf('d_turns'),
    uThermalUv: uOf('d_thermal'),
    uAlphaCm: uOf('alpha'),
    wireOhm: resistanceOhm,
    wireCm: rows * rowLengthCm,
    rowCm: rowLengthCm,
    withNulls: budget
      .filter(({ symbol }) => /^d_(lag|zero|drift)/.test(symbol))
      .map(({ symbol, contribution }) => ({ symbol, contribution: round(1e6 * contribution, 2) })),
  };
}

function givenLength(
  { result, budget }: ReportJson,
  set: ComparisonSetView,
  cell: 1 | 2,
  rowCm: number,
): GivenLength {
  const symbol = `l_${cell}_${set.set}`;
  const own = budget.find((row) => row.symbol === symbol);
  if (own === undefined || set.driverMa === null || result === null)
    throw new Error(`the budget has no ${symbol}`);
  const lengthCm = round(own.estimate, 4);
  const row = Math.floor(lengthCm / rowCm) + 1;
  const sense = row % 2 === 1 ? 1 : -1;
  return {
    name: `l${cell},${set.set}`,
    cell,
    set: set.set,
    driverMa: round(set.driverMa, 2),
    weight: result.constants[`w_${set.set}`],
    lengthCm,
    row,
    scaleCm: round(sense === 1 ? lengthCm - (row - 1) * rowCm : row * rowCm - lengthCm, 4),
    sense,
    u: round(1e4 * own.standardUncertainty, 2),
  };
}
