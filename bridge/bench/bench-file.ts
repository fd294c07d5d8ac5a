import * as v from 'valibot';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';

/** Bench file, format `tenwire-bench/1`: what is known of one bench before a run. Units stand in the names. */

/** What valibot is told that a field must be, by its English text: that alone comes back with a fault. */
const EXPECTED = new Map<string, Message>();
const must = (said: Message): string => {
  EXPECTED.set(said.text, said);
  return said.text;
};

const fields = <Entries extends v.ObjectEntries>(entries: Entries) =>
  v.looseObject(entries, must(message('must-be-fields')));
const text = v.string(must(message('must-be-text')));
const finite = v.pipe(v.number(must(message('must-be-number'))), v.finite(must(message('must-be-finite'))));
const positive = v.pipe(finite, v.gtValue(0, must(message('must-be-positive'))));
const notNegative = v.pipe(finite, v.minValue(0, must(message('must-not-be-negative'))));
/** A relative standard uncertainty: per cent typed for a share is found out where it is 1 or more. */
const share = v.pipe(notNegative, v.ltValue(1, must(message('must-be-share'))));
const either = <const One extends string, const Other extends string>(one: One, other: Other) =>
  v.picklist([one, other], must(message('must-be-either', { one: `"${one}"`, other: `"${other}"` })));
const whole = (least: number, most: number) => {
  const expected = must(message('must-be-whole', { least, most }));
  return v.pipe(
    v.number(expected),
    v.integer(expected),
    v.minValue(least, expected),
    v.maxValue(most, expected),
  );
};

const valueWithUncertainty = fields({ valueCm: finite, standardUncertaintyCm: notNegative });

const calibrationPoint = fields({ counts: finite, scaleCm: finite });

/** In any order: a mark held again later may stand last. */
const oneToOne = v.check(
  (points: v.InferOutput<typeof calibrationPoint>[]) => {
    const byCounts = [...points].sort((a, b) => a.counts - b.counts);
    const steps = byCounts.slice(1).map((point, index) => ({
      counts: point.counts - byCounts[index].counts,
      scaleCm: point.scaleCm - byCounts[index].scaleCm,
    }));
    const rising = steps.every((step) => step.scaleCm > 0);
    return steps.every((step) => step.counts > 0 && (rising ? step.scaleCm > 0 : step.scaleCm < 0));
  },
  must(message('must-go-one-way')),
);

/** How far along the scale errors of a calibration go together, where the bench file does not say: the format's. */
const CORRELATION_CM = 15;

const position = fields({
  points: v.pipe(
    v.array(calibrationPoint, must(message('must-be-points'))),
    v.minLength(2, must(message('must-be-two-points'))),
    oneToOne,
  ),
  standardUncertaintyCm: notNegative,
  correlationCm: v.optional(positive),
});

/** A cell of known EMF: at the temperature of use, or at 20 °C where a formula for Weston cells brings it there. */
const reference = fields({
  emfV: positive,
  standardUncertaintyV: notNegative,
  weston: v.optional(
    fields({
      formula: v.optional(either('hamer-1972', 'older-international'), 'hamer-1972'),
      /** Of the cell; absent, the temperature stated for the run. */
      temperatureC: v.optional(finite),
      standardUncertaintyC: v.optional(notNegative, 0.5),
    }),
  ),
});

const cell = fields({
  label: v.optional(text),
  voltmeterV: v.optional(positive),
  steadyRelativePerMin: v.optional(share),
  reference: v.optional(reference),
});

const benchSchema = fields({
  format: v.literal('tenwire-bench/1', '"tenwire-bench/1"'),
  name: v.optional(text, 'bench'),
  wire: fields({
    rows: whole(1, 20),
    rowLengthCm: positive,
    resistanceOhm: positive,
    zeroEnd: either('left', 'right'),
    uniformityRelative: v.optional(share),
    rowSpreadRelative: v.optional(share),
    turnCorrectionCm: v.optional(valueWithUncertainty),
  }),
  position: v.optional(position),
  endCorrection: v.optional(valueWithUncertainty),
  galvanometer: fields({
    zeroCounts: finite,
    microampsPerCount: v.pipe(finite, v.notValue(0, must(message('must-not-be-0')))),
    resistanceOhm: positive,
  }),
  protectiveResistanceOhm: v.optional(positive),
  ammeter: v.optional(
    fields({
      zeroCounts: v.optional(finite, 0),
      milliampsPerCount: v.optional(positive),
      leastCountMa: v.optional(positive),
      rangeMa: v.optional(positive),
      zeroCorrectionMa: v.optional(finite, 0),
    }),
  ),
  voltmeter: v.optional(fields({ rangeV: positive, leastCountV: positive })),
  driver: v.optional(fields({ emfV: positive })),
  cells: v.optional(fields({ '1': v.optional(cell), '2': v.optional(cell) })),
  thermalEmfUv: v.optional(notNegative),
});

/** A bench, defaults filled in, unknown fields kept. */
export type Bench = v.InferOutput<typeof benchSchema>;

/** As stated, else the format's default; without a sensor there is no place to tell apart, and it does no harm. */
export const correlationCmOf = (bench: Pick<Bench, 'position'>): number =>
  bench.position?.correlationCm ?? CORRELATION_CM;

/** One field of a bench file that is missing or senseless. */
export interface BenchFault {
  /** Such as `wire.rows` or `position.points.1.counts`; null for the whole file. */
  path: string | null;
  expected: Message;
}

export type BenchReading = { ok: true; bench: Bench } | { ok: false; faults: BenchFault[] };

/** What a bench file's bytes say. A byte order mark, which some editors put before the text, is left out. Throws where it is no JSON. */
export const parseBenchFile = (bytes: Uint8Array): unknown => JSON.parse(new TextDecoder().decode(bytes));

/** Checks what a bench file (parsed as JSON) or a `bench` event says. Never throws. */
export function readBench(value: unknown): BenchReading {
  const parsed = v.safeParse(benchSchema, value);
  if (parsed.success) return { ok: true, bench: parsed.output };
  return {
    ok: false,
    faults: parsed.issues.map((issue) => ({
      path: v.getDotPath(issue),
      expected: expectation(issue),
    })),
  };
}

/** Valibot words a missing key itself; everything else carries our own words. */
function expectation(issue: v.BaseIssue<unknown>): Message {
  if (issue.received === 'undefined') return message('field-missing');
  const expected = EXPECTED.get(issue.message);
  // Of a list or a part with fields of its own Valibot only says that it is one.
  if (expected !== undefined && /^(Array|Object)$/.test(issue.received)) return expected;
  return message('field-expected', { expected: expected ?? issue.message, found: issue.received });
}

export const describeFault = ({ path, expected }: BenchFault): Message =>
  message('field-fault', { path: path ?? message('whole-file'), expected });

/** Faults as one text, a line each. */
export const describeFaults = (faults: BenchFault[]): Message =>
  message('field-faults', { faults: faults.map(describeFault) });
