import * as v from 'valibot';

/** Bench file, format `tenwire-bench/1`: what is known of one bench before a run. Units stand in the names. */

const finite = v.pipe(v.number('a number'), v.finite('a finite number'));
const positive = v.pipe(finite, v.gtValue(0, 'a number above 0'));
const notNegative = v.pipe(finite, v.minValue(0, 'a number not below 0'));
const whole = (least: number, most: number) => {
  const expected = `a whole number from ${least} to ${most}`;
  return v.pipe(
    v.number(expected),
    v.integer(expected),
    v.minValue(least, expected),
    v.maxValue(most, expected),
  );
};

const valueWithUncertainty = v.looseObject({ valueCm: finite, standardUncertaintyCm: notNegative });

const calibrationPoint = v.looseObject({ counts: finite, scaleCm: finite });

/** In any order: a mark held again later may stand last. */
const oneToOne = v.check((points: v.InferOutput<typeof calibrationPoint>[]) => {
  const byCounts = [...points].sort((a, b) => a.counts - b.counts);
  const steps = byCounts.slice(1).map((point, index) => ({
    counts: point.counts - byCounts[index].counts,
    scaleCm: point.scaleCm - byCounts[index].scaleCm,
  }));
  const rising = steps.every((step) => step.scaleCm > 0);
  return steps.every((step) => step.counts > 0 && (rising ? step.scaleCm > 0 : step.scaleCm < 0));
}, 'points whose scale readings only rise or only fall with the counts');

const position = v.looseObject({
  points: v.pipe(
    v.array(calibrationPoint, 'a list of points {counts, scaleCm}'),
    v.minLength(2, 'two points or more'),
    oneToOne,
  ),
  standardUncertaintyCm: notNegative,
  correlationCm: v.optional(positive, 15),
});

/** A cell of known EMF: at the temperature of use, or at 20 °C where a formula for Weston cells brings it there. */
const reference = v.looseObject({
  emfV: positive,
  standardUncertaintyV: notNegative,
  weston: v.optional(
    v.looseObject({
      formula: v.optional(
        v.picklist(['hamer-1972', 'older-international'], '"hamer-1972" or "older-international"'),
        'hamer-1972',
      ),
      /** Of the cell; absent, the temperature stated for the run. */
      temperatureC: v.optional(finite),
      standardUncertaintyC: v.optional(notNegative, 0.5),
    }),
  ),
});

const cell = v.looseObject({
  label: v.optional(v.string('a text')),
  voltmeterV: v.optional(positive),
  reference: v.optional(reference),
});

const benchSchema = v.looseObject({
  format: v.literal('tenwire-bench/1', '"tenwire-bench/1"'),
  name: v.optional(v.string('a text'), 'bench'),
  wire: v.looseObject({
    rows: whole(1, 20),
    rowLengthCm: positive,
    resistanceOhm: positive,
    zeroEnd: v.picklist(['left', 'right'], '"left" or "right"'),
    uniformityRelative: v.optional(notNegative),
    turnCorrectionCm: v.optional(valueWithUncertainty),
  }),
  position: v.optional(position),
  endCorrection: v.optional(valueWithUncertainty, { valueCm: 0, standardUncertaintyCm: 1 }),
  galvanometer: v.looseObject({
    zeroCounts: finite,
    microampsPerCount: v.pipe(finite, v.notValue(0, 'a number other than 0')),
    resistanceOhm: positive,
  }),
  protectiveResistanceOhm: v.optional(positive),
  ammeter: v.optional(
    v.looseObject({
      zeroCounts: v.optional(finite, 0),
      milliampsPerCount: v.optional(positive),
      leastCountMa: v.optional(positive),
      rangeMa: v.optional(positive),
      zeroCorrectionMa: v.optional(finite, 0),
    }),
  ),
  voltmeter: v.optional(v.looseObject({ rangeV: positive, leastCountV: positive })),
  driver: v.optional(v.looseObject({ emfV: positive })),
  cells: v.optional(v.looseObject({ '1': v.optional(cell), '2': v.optional(cell) })),
  thermalEmfUv: v.optional(notNegative),
});

/** A bench, defaults filled in, unknown fields kept. */
export type Bench = v.InferOutput<typeof benchSchema>;

/** One field of a bench file that is missing or senseless. */
export interface BenchFault {
  /** Such as `wire.rows` or `position.points.1.counts`. */
  path: string;
  expected: string;
}

export type BenchReading = { ok: true; bench: Bench } | { ok: false; faults: BenchFault[] };

/** Checks what a bench file (parsed as JSON) or a `bench` event says. Never throws. */
export function readBench(value: unknown): BenchReading {
  const parsed = v.safeParse(benchSchema, value);
  if (parsed.success) return { ok: true, bench: parsed.output };
  return {
    ok: false,
    faults: parsed.issues.map((issue) => ({
      path: v.getDotPath(issue) ?? '(the whole file)',
      expected: expectation(issue),
    })),
  };
}

/** Valibot words a missing key itself; everything else carries our own words. */
function expectation(issue: v.BaseIssue<unknown>): string {
  if (issue.received !== 'undefined') return `${issue.message} (found ${issue.received})`;
  return 'missing';
}

/** Faults as one text, a line each, for a terminal. */
export const describeFaults = (faults: BenchFault[]): string =>
  faults.map((fault) => `${fault.path}: ${fault.expected}`).join('\n');
