import type { Circuit } from './circuit.ts';

/** An invented bench: what its file says, and what is true of it. Everything here is invented. */

export interface OutsideBench {
  /** What the recording's bench event holds. */
  file: Record<string, unknown>;
  circuit: Circuit;
  zeroEnd: 'left' | 'right';
  /** Counts and scale readings in the order of the file. */
  points: { counts: number; scaleCm: number }[];
  galZeroTrue: number;
  uaPerCount: number;
  drvZero: number;
  maPerCount: number;
}

export interface BenchChoice {
  bits?: number;
  zeroEnd?: 'left' | 'right';
  /** `two`, `many` (uneven, bent) or `falling` (many, counts falling as the scale grows). */
  points?: 'two' | 'many' | 'falling';
  /** Counts that the galvanometer's true zero lies off the file's. */
  zeroOff?: number;
  swappedLeads?: boolean;
  reversedCell?: 1 | 2;
  reversedDriver?: boolean;
  endAOhm?: number;
  driverV?: number;
  protectOhm?: number;
  /** What a count of the galvanometer is worth at 12 bits. */
  uaPerCount?: number;
  /** Counts of the driver channel without a current, at 12 bits: an ammeter that reads both ways has them amid its span. */
  drvZero?: number;
  file?: Record<string, unknown>;
}

const SHARES = { two: [0, 1], many: [0, 0.1, 0.22, 0.37, 0.5, 0.68, 0.83, 1] };

function pointsOf(kind: BenchChoice['points'], most: number): OutsideBench['points'] {
  const falling = kind === 'falling';
  const shares = kind === 'two' || kind === undefined ? SHARES.two : SHARES.many;
  return shares.map((share) => {
    const bent = share + (shares.length > 2 ? 0.01 * Math.sin(Math.PI * share) : 0);
    const along = 0.03 + 0.94 * bent;
    return { counts: Math.round(most * (falling ? 1 - along : along)), scaleCm: 100 * share };
  });
}

export function outsideBench(choice: BenchChoice = {}): OutsideBench {
  const most = 2 ** (choice.bits ?? 12) - 1;
  const steps = (most + 1) / 4096;
  const zero = (most + 1) / 2;
  const zeroEnd = choice.zeroEnd ?? 'left';
  const points = pointsOf(choice.points, most);
  const uaPerCount = (choice.uaPerCount ?? 0.05) / steps;
  const maPerCount = 0.1 / steps;
  const drvZero = Math.round((choice.drvZero ?? 20) * steps);
  const back = (cell: 1 | 2) => (choice.reversedCell === cell ? -1 : 1);
  return {
    file: {
      format: 'tenwire-bench/1',
      name: 'outside bench (invented)',
      wire: {
        rows: 10,
        rowLengthCm: 100,
        resistanceOhm: 20,
        zeroEnd,
        uniformityRelative: 0.0001,
        rowSpreadRelative: 0,
        turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0.01 },
      },
      position: { points, standardUncertaintyCm: 0.03, correlationCm: 15 },
      galvanometer: { zeroCounts: zero, microampsPerCount: uaPerCount, resistanceOhm: 120 },
      protectiveResistanceOhm: choice.protectOhm ?? 4700,
      ammeter: { zeroCounts: drvZero, milliampsPerCount: maPerCount, leastCountMa: 1, zeroCorrectionMa: 0 },
      driver: { emfV: 3.1 },
      endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
      thermalEmfUv: 0,
      cells: {
        '1': { voltmeterV: 1.52, steadyRelativePerMin: 0 },
        '2': { voltmeterV: 1.2, steadyRelativePerMin: 0 },
      },
      ...choice.file,
    },
    circuit: {
      wireOhm: 20,
      wireCm: 1000,
      endAOhm: choice.endAOhm ?? 0.008,
      endBOhm: 0.02,
      driverV: (choice.driverV ?? 3.1) * (choice.reversedDriver ? -1 : 1),
      driverOhm: 0.5,
      galvanometerOhm: 120,
      protectOhm: choice.protectOhm ?? 4700,
      cells: {
        1: { emfV: 1.5184 * back(1), ohm: 0.6 },
        2: { emfV: 1.2043 * back(2), ohm: 1.1 },
      },
    },
    zeroEnd,
    points,
    galZeroTrue: zero + (choice.zeroOff ?? 0),
    uaPerCount: uaPerCount * (choice.swappedLeads ? -1 : 1),
    drvZero,
    maPerCount,
  };
}

/** Row (1 to 10) and metre-scale reading of a length from A. */
export function placeOf(bench: OutsideBench, lengthCm: number): { row: number; scaleCm: number } {
  const row = Math.min(10, Math.floor(lengthCm / 100) + 1);
  const along = lengthCm - 100 * (row - 1);
  const odd = row % 2 === 1;
  const withScale = bench.zeroEnd === 'left' ? odd : !odd;
  return { row, scaleCm: withScale ? along : 100 - along };
}

/** Position counts at which the calibration reads `scaleCm`. */
export function countsAt(points: OutsideBench['points'], scaleCm: number): number {
  let at = 0;
  while (at < points.length - 2 && scaleCm > points[at + 1].scaleCm) at += 1;
  const [from, to] = [points[at], points[at + 1]];
  const share = (scaleCm - from.scaleCm) / (to.scaleCm - from.scaleCm);
  return from.counts + share * (to.counts - from.counts);
}
