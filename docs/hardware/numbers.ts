import type { BalancingLength } from '../../bridge/calc-core/balancing-length.ts';
import { measuredEndCorrection } from '../../bridge/calc-core/end-correction.ts';
import {
  averagedShare,
  BOTTOM_COUNT,
  CM_PER_COUNT,
  CONVERTER,
  DITHER_SPAN_V,
  DRIVER_MA_PER_COUNT,
  DRIVER_PEDESTAL_V,
  DRIVER_ZERO_COUNTS,
  FILTER_S,
  GAL_GAIN,
  GAL_NOISE_UA,
  GAL_SPAN_UA,
  GAL_UA_PER_COUNT,
  GAL_VOLTS_PER_UA,
  GAL_ZERO_COUNTS,
  galSampleCounts,
  INPUT_NOISE_V_PER_ROOT_HZ,
  MID_RAIL_V,
  NOISE_BANDWIDTH_HZ,
  PARTS,
  QUANTISING_COUNTS,
  TOP_COUNT,
  UNDITHERED_COUNTS,
  VOLTS_PER_COUNT,
  wiperVolts,
} from '../../bridge/emulate/hardware.ts';
import { nominal, rowDiodes } from '../../bridge/emulate/parts.ts';
import { knowledgeOf } from '../../bridge/run/bench-knowledge.ts';
import { EXPECTED } from '../../bridge/self-test/expected.ts';
import { circuitOf, profileOf, restingSwitches } from '../../bridge/simulate/apparatus.ts';
import { balancingLengthCm, type Circuit, currentsAt } from '../../bridge/simulate/circuit.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { DIODE, sweepFrontEnds } from './netlist.ts';
import {
  countsAtEnds,
  leastFirstStageMarginV,
  nominalCase,
  SWEEP,
  sweepCorners,
  worstScaleError,
  worstZeroShiftUa,
} from './sweep.ts';

/** Every number of the hardware guide, by the name that guide.template.md calls it by. */

const { apparatus, bench } = DEFAULT_SCENE;
const wire = profileOf(DEFAULT_SCENE);

/** The invented bench of the demo at its third rheostat setting, cell 1 in circuit. */
const circuitWith = (protect: boolean): Circuit =>
  circuitOf(apparatus, wire, { ...restingSwitches(DEFAULT_SCENE), rheostatOhm: 7.9, protect }, 0);

const nullCm = balancingLengthCm(circuitWith(false)) ?? Number.NaN;
const ua = (circuit: Circuit, lengthCm: number): number => currentsAt(circuit, lengthCm).galvanometerUa;

/** Slope of the galvanometer's current along the wire at the null, in microamperes per centimetre. */
const slopeUaPerCm = (circuit: Circuit): number =>
  Math.abs(ua(circuit, nullCm + 0.1) - ua(circuit, nullCm - 0.1)) / 0.2;

const fineSlope = slopeUaPerCm(circuitWith(false));
const coarseSlope = slopeUaPerCm(circuitWith(true));
const driverMa = currentsAt(circuitWith(false), nullCm).driverMa;
const farUa = Math.abs(ua(circuitWith(false), 0));
const farProtectedUa = Math.abs(ua(circuitWith(true), 0));
const wireLengthCm = bench.wire.rows * bench.wire.rowLengthCm;

const driverRangeMa = (TOP_COUNT - DRIVER_ZERO_COUNTS) * DRIVER_MA_PER_COUNT;

const offsetUa = (1e6 * Math.SQRT2 * PARTS.offsetV) / PARTS.galShuntOhm;

const THERMAL_V = 0.02526;
const coilOhm = apparatus.galvanometerOhm - PARTS.galShuntOhm;
const fullV = GAL_SPAN_UA * 1e-6 * PARTS.galShuntOhm;
const leakUa = 1e6 * DIODE.saturationA * (Math.exp(fullV / (DIODE.emission * THERMAL_V)) - 1);

const lagMm = (speedCmPerS: number): number => 10 * speedCmPerS * FILTER_S;
const humShare = (hz: number): number => 1 / Math.hypot(1, 2 * Math.PI * hz * FILTER_S);
const burstS = CONVERTER.burst * CONVERTER.conversionS;
const burstShare = (hz: number): number => Math.sin(Math.PI * hz * burstS) / (Math.PI * hz * burstS);

const mmPerUa = 10 / fineSlope;
const thermalUa = 5 / apparatus.galvanometerOhm;
const INSULATION_OHM = 10e6;
const rows = bench.wire.rows;

const noiseMm = galSampleCounts() * GAL_UA_PER_COUNT * mmPerUa;
const wiperOhm = PARTS.potentiometerOhm / 4;

const swept = sweepCorners('at A', [0, 1]);
const [formerEnds] = sweepFrontEnds([nominalCase(1.54, 'beyond the cell')], SWEEP).map(countsAtEnds);

/** A number with so many significant digits, never in exponent notation. */
export function significant(value: number, digits: number): string {
  if (value === 0) return '0';
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  return value.toFixed(Math.min(12, decimals));
}

const s2 = (value: number): string => significant(value, 2);
const s3 = (value: number): string => significant(value, 3);

/** Of the example's wire. */
const GRADIENT_MV_PER_CM = (driverMa * bench.wire.resistanceOhm) / wireLengthCm;

/** Standard uncertainty in cm of an end correction measured with 40 and 20 mV, where nothing but the wire's size is known. */
function endUncertaintyCm(): number {
  const at = (millivolts: number): BalancingLength => {
    const lengthCm = millivolts / GRADIENT_MV_PER_CM;
    return {
      ...{ lengthCm, row: 1, atS: 0, uOwnCm: 0.01, ownDof: Number.POSITIVE_INFINITY, common: {} },
      ...{ sensorScaleCm: lengthCm, scaleSense: 1 },
    };
  };
  const set = { set: 1, driverMa, l1: at(40), l2: at(20) };
  const silent = {
    ...knowledgeOf(bench),
    ...{ position: null, endCorrection: null, uniformityRelative: null, rowSpreadRelative: null },
    ...{ turnCorrectionCm: null, thermalEmfUv: null, steadyRelativePerMin: { 1: null, 2: null } },
  };
  const measured = measuredEndCorrection([set], { value: 2, u: 0.0008 }, silent);
  if (!measured.ok) throw new Error(measured.text);
  return measured.end.standardUncertaintyCm;
}

/** What the dummy source sends through the galvanometer's shunt. */
const DUMMY_UA = (EXPECTED.galSpan.counts / 2) * GAL_UA_PER_COUNT;

export const NUMBERS: Readonly<Record<string, string>> = {
  supplyV: String(PARTS.supplyV),
  midV: String(MID_RAIL_V),
  stepMv: s3((1000 * PARTS.supplyV) / CONVERTER.steps),
  countMv: s3(1000 * VOLTS_PER_COUNT),
  bottomCount: String(BOTTOM_COUNT),
  topCount: String(TOP_COUNT),
  middleCount: GAL_ZERO_COUNTS.toFixed(0),
  railMv: String(Math.round((1000 * PARTS.supplyV * CONVERTER.railSteps) / CONVERTER.steps)),
  conversionUs: String(Math.round(1e6 * CONVERTER.conversionS)),
  burstMs: s2(1000 * burstS),

  shuntOhm: String(PARTS.galShuntOhm),
  clampV: String(PARTS.clampV),
  gain: significant(GAL_GAIN, 4),
  mvPerUa: s3(1000 * GAL_VOLTS_PER_UA),
  uaPerCount: s3(GAL_UA_PER_COUNT),
  rangeUa: s3(GAL_SPAN_UA),

  nullCm: nullCm.toFixed(0),
  driverMa: driverMa.toFixed(0),
  emf1V: apparatus.cells[1].emfV.toFixed(2),
  galOhm: String(apparatus.galvanometerOhm),
  coilOhm: String(coilOhm),
  protectOhm: String(apparatus.protectiveOhm),
  wireOhm: String(bench.wire.resistanceOhm),
  fineSlope: s3(fineSlope),
  coarseSlope: s3(coarseSlope),
  fineMmPerCount: s2(GAL_UA_PER_COUNT * mmPerUa),
  coarseMmPerCount: s2((10 * GAL_UA_PER_COUNT) / coarseSlope),
  fineRangeCm: s2(GAL_SPAN_UA / fineSlope),
  coarseRangeCm: s3(GAL_SPAN_UA / coarseSlope),
  farMa: s2(farUa / 1000),
  farShuntV: s2(farUa * 1e-6 * PARTS.galShuntOhm),
  farShuntMw: s2(farUa * farUa * 1e-9 * PARTS.galShuntOhm),
  farProtectedUa: s2(farProtectedUa),
  fullMv: s2(1000 * fullV),
  leakNa: s2(1000 * leakUa),
  leakCounts: s2(leakUa / GAL_UA_PER_COUNT),

  sweptCases: String(swept.length),
  sweptMarginV: s2(leastFirstStageMarginV(swept)),
  sweptScalePercent: s2(100 * worstScaleError(swept)),
  sweptZeroUm: (1e4 * (worstZeroShiftUa(swept) / fineSlope)).toFixed(1),
  formerCountLow: formerEnds[0].toFixed(0),
  formerCountHigh: formerEnds[1].toFixed(0),
  offsetUv: String(Math.round(1e6 * PARTS.offsetV)),
  offsetUa: s2(offsetUa),
  offsetMm: s2(offsetUa * mmPerUa),
  zero45Mm: s2(45 * GAL_UA_PER_COUNT * mmPerUa),
  thermalUa: s2(thermalUa),
  thermalMm: s2(thermalUa * mmPerUa),

  opampNv: String(Math.round(1e9 * PARTS.noiseVPerRootHz)),
  inputNv: (1e9 * INPUT_NOISE_V_PER_ROOT_HZ).toFixed(0),
  bandwidthHz: NOISE_BANDWIDTH_HZ.toFixed(0),
  noiseNa: s3(1000 * GAL_NOISE_UA),
  noiseCounts: s2(GAL_NOISE_UA / GAL_UA_PER_COUNT),
  noiseSteps: s2(GAL_NOISE_UA / GAL_UA_PER_COUNT / CONVERTER.countsPerStep),
  averagedPercent: (100 * averagedShare(FILTER_S)).toFixed(0),
  roundingCounts: s3(QUANTISING_COUNTS),
  unditheredCounts: s3(UNDITHERED_COUNTS),
  sampleCounts: s2(galSampleCounts()),
  sampleNa: s2(1000 * galSampleCounts() * GAL_UA_PER_COUNT),
  sampleMm: s2(noiseMm),
  ditherMv: s3(1000 * DITHER_SPAN_V),
  pinUs: String(Math.round(1e6 * PARTS.pinSeriesOhm * PARTS.pinFarad)),
  holdUs: '12',

  filterMs: s2(1000 * FILTER_S),
  cornerHz: (1 / (2 * Math.PI * FILTER_S)).toFixed(0),
  lagSlowMm: s2(lagMm(2.5)),
  lagFastMm: s2(lagMm(10)),
  hum50Percent: (100 * humShare(50) * burstShare(50)).toFixed(0),
  hum60Percent: (100 * humShare(60) * burstShare(60)).toFixed(0),
  slowFilterMs: s2(1000 * slowFilterS()),
  slowLagMm: s2(10 * 2.5 * slowFilterS()),

  wiperLowV: s3(wiperVolts(0)),
  wiperHighV: s3(wiperVolts(PARTS.strokeCm)),
  countsLow: (wiperVolts(0) / VOLTS_PER_COUNT).toFixed(0),
  countsHigh: (wiperVolts(PARTS.strokeCm) / VOLTS_PER_COUNT).toFixed(0),
  mmPerCount: s2(10 * CM_PER_COUNT),
  positionRoundingMm: s2(10 * CM_PER_COUNT * QUANTISING_COUNTS),
  linearPoorMm: s2(0.01 * 10 * PARTS.strokeCm),
  linearGoodMm: s2(0.001 * 10 * PARTS.strokeCm),
  stringMm: s2(0.0025 * 10 * PARTS.strokeCm),
  wiperKohm: s2(wiperOhm / 1000),
  wiperLoadCounts: s2((MID_RAIL_V * (wiperOhm / (wiperOhm + PARTS.ditherCoupleOhm))) / VOLTS_PER_COUNT),

  pedestalV: s2(DRIVER_PEDESTAL_V),
  driverGain: s3(PARTS.driverGain),
  maPerCount: s3(DRIVER_MA_PER_COUNT),
  driverZeroCounts: DRIVER_ZERO_COUNTS.toFixed(0),
  driverRangeMa: s3(driverRangeMa),
  driverBurdenMv: (driverMa * PARTS.driverShuntOhm).toFixed(0),
  driverShuntMw: s2(driverMa * driverMa * 1e-3 * PARTS.driverShuntOhm),
  driverCountPercent: s2((100 * DRIVER_MA_PER_COUNT) / driverMa),
  driverCountMm: s2((10 * nullCm * DRIVER_MA_PER_COUNT) / driverMa),
  driverMeanMm: s2(((10 * nullCm * DRIVER_MA_PER_COUNT) / driverMa) * 0.5 * QUANTISING_COUNTS),
  wireW: s2(driverMa * driverMa * 1e-6 * bench.wire.resistanceOhm),

  endUpperCm: (40 / GRADIENT_MV_PER_CM).toFixed(0),
  endUCm: endUncertaintyCm().toFixed(1),
  mmPerStep: s2(CONVERTER.countsPerStep * GAL_UA_PER_COUNT * mmPerUa),
  dummyUa: s3(DUMMY_UA),
  dummyCounts: (EXPECTED.galSpan.counts / 2).toFixed(0),
  dummyShuntMv: s2(1e-3 * DUMMY_UA * PARTS.galShuntOhm),
  dummyAboveMv: (1e-3 * DUMMY_UA * nominal('R28')).toFixed(0),
  dummyOutV: s3(MID_RAIL_V + (EXPECTED.galSpan.counts / 2) * VOLTS_PER_COUNT),
  dummyOverMa: s2((1e3 * (PARTS.supplyV - PARTS.clampV)) / (2 * nominal('R35'))),
  dummyDriverMa: s3(EXPECTED.driverSpan.counts * DRIVER_MA_PER_COUNT),
  dummyDriverCounts: EXPECTED.driverSpan.counts.toFixed(0),
  dummyDriverOutV: s2(DRIVER_PEDESTAL_V + EXPECTED.driverSpan.counts * VOLTS_PER_COUNT),

  insulationMohm: String(INSULATION_OHM / 1e6),
  leakageUa: s2((1e6 * MID_RAIL_V) / INSULATION_OHM),
  leakageCounts: s2((1e6 * MID_RAIL_V) / INSULATION_OHM / GAL_UA_PER_COUNT),
  rows: String(rows),
  diodes: String(rowDiodes(rows)),
  wireCm: String(wireLengthCm),
};

/** A filter that lets a twentieth of 50 Hz hum through: what strong filtering would cost. */
function slowFilterS(): number {
  return Math.sqrt(20 ** 2 - 1) / (2 * Math.PI * 50);
}
