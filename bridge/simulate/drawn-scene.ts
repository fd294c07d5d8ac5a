import type { Bench } from '../bench/bench-file.ts';
import { wireLengthCm } from '../bench/geometry.ts';
import { randomStream } from './random.ts';
import type { Apparatus, Cell, Scene } from './scene.ts';
import type { WireSizes } from './wire-profile.ts';

/**
 * The scene again with a bench drawn afresh from what its bench file says is known: end correction, wire, strips, cells,
 * thermal EMFs, galvanometer zero, and (by the seed) the position sensor's scale error. An interval said to be 95 % must
 * hold the truth in 95 of 100 benches drawn so. Where the file is silent, the scene's own sizes stay.
 */
export function drawnScene(scene: Scene, seed: number): Scene {
  const { bench, apparatus, frontEnd } = scene;
  const random = randomStream(seed, 'drawn bench');
  const normal = (value: number, u: number): number => value + u * random.normal();
  const zeroCounts = normal(bench.galvanometer.zeroCounts, ZERO_COUNTS);
  return {
    ...scene,
    seed,
    apparatus: {
      ...apparatus,
      ...drawnEnd(bench, apparatus, normal),
      thermalEmfUv: drawnThermalEmfUv(bench, apparatus, normal),
      wire: statedSizes(bench, apparatus.wire),
      cells: { 1: drawnCell(bench, apparatus, 1, normal), 2: drawnCell(bench, apparatus, 2, normal) },
    },
    frontEnd: { ...frontEnd, galvanometer: { ...frontEnd.galvanometer, zeroCounts } },
  };
}

/** How far zeros lie from their nominal counts. */
const ZERO_COUNTS = 6;

type Draw = (value: number, u: number) => number;

const ohmPerCm = (bench: Bench, { wire }: Pick<Apparatus, 'wire'>): number =>
  wire.resistanceOhm / wireLengthCm(bench.wire);

function drawnEnd(
  bench: Bench,
  apparatus: Apparatus,
  normal: Draw,
): Pick<Apparatus, 'endAOhm' | 'scaleZeroCm'> {
  const { endCorrection: end } = bench;
  if (end === undefined) return apparatus;
  const endACm = normal(end.valueCm, end.standardUncertaintyCm);
  return { endAOhm: endACm * ohmPerCm(bench, apparatus), scaleZeroCm: 0 };
}

function drawnThermalEmfUv(
  { thermalEmfUv: u }: Bench,
  apparatus: Apparatus,
  normal: Draw,
): Apparatus['thermalEmfUv'] {
  return u === undefined ? apparatus.thermalEmfUv : { 1: normal(0, u), 2: normal(0, u) };
}

function drawnCell({ cells }: Bench, apparatus: Apparatus, cell: 1 | 2, normal: Draw): Cell {
  const u = cells?.[cell]?.steadyRelativePerMin;
  const drawn = apparatus.cells[cell];
  return u === undefined ? drawn : { ...drawn, driftPercentPerMin: normal(0, 100 * u) };
}

/** Of u·√(L·l), the error of a length l on a wire L, a piece of 10 cm has u·√(L/10) of its own length. */
function statedSizes(bench: Bench, wire: WireSizes): WireSizes {
  const { uniformityRelative, rowSpreadRelative, turnCorrectionCm: strip } = bench.wire;
  const perCm = ohmPerCm(bench, { wire });
  return {
    ...wire,
    walkPer10Cm:
      uniformityRelative === undefined
        ? wire.walkPer10Cm
        : uniformityRelative * Math.sqrt(wireLengthCm(bench.wire) / 10),
    rowSpread: rowSpreadRelative ?? wire.rowSpread,
    stripOhm: strip === undefined ? wire.stripOhm : strip.valueCm * perCm,
    stripSpreadOhm: strip === undefined ? wire.stripSpreadOhm : strip.standardUncertaintyCm * perCm,
  };
}
