import type { BenchKnowledge, StatedCm } from './balancing-length.ts';
import type { NormalPart } from './mixture.ts';

/**
 * What is taken where a bench file is silent: ordinary sizes for benches that nobody has measured. They are our judgement,
 * without a source; a laboratory that has measured its bench states its own and has them honoured.
 */
export const ORDINARY = {
  /** Resistance of the joint at A in ohm: log-normal, with its 95 % point. */
  joint: { medianOhm: 0.005, mostOhm: 0.05 },
  /** Offset of the scale's zero, either sign. */
  scaleZeroCm: 0.1,
  /** Relative standard deviation of the resistance of each 10 cm of wire: a random walk. */
  walkPer10Cm: 0.003,
  rowSpreadRelative: 0.002,
  /** Drawn wire gets thinner or thicker from end to end: l·(1 - l/L) times this, either sign. */
  taperRelative: 0.002,
  strip: { ohm: 0.002, uOhm: 0.001 },
  steadyRelativePerMin: 5e-5,
  thermalEmfUv: 5,
  /** Bow of a position sensor that nobody calibrated further. */
  position: { standardUncertaintyCm: 0.03, correlationCm: 15 },
} as const;

/** What may be stated of a bench, and is assumed where it is not. */
export type Assumable =
  | 'position'
  | 'endCorrection'
  | 'uniformityRelative'
  | 'rowSpreadRelative'
  | 'turnCorrectionCm'
  | 'thermalEmfUv'
  | 'steadyRelativePerMin';

/** The bench with every gap filled. */
export interface FullKnowledge extends Omit<BenchKnowledge, Assumable> {
  position: { standardUncertaintyCm: number; correlationCm: number };
  /** Prior of the end correction, in cm of wire. */
  endCorrection: NormalPart[];
  uniformityRelative: number;
  rowSpreadRelative: number;
  turnCorrectionCm: StatedCm;
  thermalEmfUv: number;
  steadyRelativePerMin: Readonly<Record<1 | 2, number>>;
  assumed: ReadonlySet<Assumable>;
}

export function fillGaps(bench: BenchKnowledge): FullKnowledge {
  const { steadyRelativePerMin: steady } = bench;
  const cmPerOhm = bench.wireLengthCm / bench.wireResistanceOhm;
  const assumed = (Object.keys(IS_STATED) as Assumable[]).filter((name) => !IS_STATED[name](bench));
  return {
    ...bench,
    position: bench.position ?? ORDINARY.position,
    endCorrection: endCorrectionPrior(bench),
    uniformityRelative: bench.uniformityRelative ?? ORDINARY.walkPer10Cm * Math.sqrt(10 / bench.wireLengthCm),
    rowSpreadRelative: bench.rowSpreadRelative ?? ORDINARY.rowSpreadRelative,
    turnCorrectionCm: bench.turnCorrectionCm ?? {
      valueCm: ORDINARY.strip.ohm * cmPerOhm,
      standardUncertaintyCm: ORDINARY.strip.uOhm * cmPerOhm,
    },
    thermalEmfUv: bench.thermalEmfUv ?? ORDINARY.thermalEmfUv,
    steadyRelativePerMin: {
      1: steady[1] ?? ORDINARY.steadyRelativePerMin,
      2: steady[2] ?? ORDINARY.steadyRelativePerMin,
    },
    assumed: new Set(assumed),
  };
}

const IS_STATED: Readonly<Record<Assumable, (bench: BenchKnowledge) => boolean>> = {
  position: ({ position }) => position !== null,
  endCorrection: ({ endCorrection }) => endCorrection !== null,
  uniformityRelative: ({ uniformityRelative }) => uniformityRelative !== null,
  rowSpreadRelative: ({ rowSpreadRelative }) => rowSpreadRelative !== null,
  turnCorrectionCm: ({ turnCorrectionCm }) => turnCorrectionCm !== null,
  thermalEmfUv: ({ thermalEmfUv }) => thermalEmfUv !== null,
  steadyRelativePerMin: ({ steadyRelativePerMin: steady }) => steady[1] !== null && steady[2] !== null,
};

/** How far a stated end correction holds: as stated, with twice and a half the uncertainty, or not at all. */
const STATED_END = { asStated: 0.8, looser: 0.17, wrong: 0.03 };
const LOOSER = 2.5;
/** So many parts of its prior hold to a stated end correction. */
export const PARTS_AS_STATED = 2;

/** A statement and, with a small chance, what a bench has that nobody measured. */
function endCorrectionPrior(bench: BenchKnowledge): NormalPart[] {
  const unmeasured = unmeasuredEnd(bench);
  const { endCorrection: stated } = bench;
  if (stated === null) return unmeasured;
  // An end correction longer than the wire is none; the bound keeps the fit from losing its digits.
  const u = Math.min(stated.standardUncertaintyCm, bench.wireLengthCm);
  return [
    { weight: STATED_END.asStated, mean: stated.valueCm, variance: u ** 2 },
    { weight: STATED_END.looser, mean: stated.valueCm, variance: (LOOSER * u) ** 2 },
    ...unmeasured.map((part) => ({ ...part, weight: STATED_END.wrong * part.weight })),
  ];
}

/** Share of benches whose scale was put on carelessly, a centimetre off. */
const CARELESS = 0.03;
const CARELESS_CM = 1;
/** The joint's log-normal distribution at steps of its standard deviation; what is below the first is no end correction to speak of. */
const JOINT_NODES = [
  { node: -1.5, weight: 0.15 },
  { node: -0.5, weight: 0.32 },
  { node: 0.5, weight: 0.335 },
  { node: 1.5, weight: 0.17 },
  { node: 2.5, weight: 0.024 },
  { node: 3.3, weight: 0.001 },
];
/** Standard deviation of a part, as a share of its mean: neighbouring parts run into each other. */
const PART_SPREAD = 0.6;

/** A joint's resistance (positive, heavy tail upwards) and the offset of the scale's zero, as a mixture of normal parts. */
function unmeasuredEnd({ wireLengthCm, wireResistanceOhm }: BenchKnowledge): NormalPart[] {
  const { medianOhm, mostOhm } = ORDINARY.joint;
  const spread = Math.log(mostOhm / medianOhm) / 1.645;
  const parts = JOINT_NODES.map(({ node, weight }) => {
    const mean = (medianOhm * Math.exp(spread * node) * wireLengthCm) / wireResistanceOhm;
    const variance = (PART_SPREAD * mean) ** 2 + ORDINARY.scaleZeroCm ** 2;
    return { weight: (1 - CARELESS) * weight, mean, variance };
  });
  return [...parts, { weight: CARELESS, mean: 0, variance: CARELESS_CM ** 2 }];
}

/** The end correction to plan with, in cm: as stated, else that of a joint of ordinary resistance. */
export const likelyEndCm = ({ endCorrection, wireLengthCm, wireResistanceOhm }: BenchKnowledge): number =>
  endCorrection?.valueCm ?? (ORDINARY.joint.medianOhm * wireLengthCm) / wireResistanceOhm;
