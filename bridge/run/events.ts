import * as v from 'valibot';
import { isNestedTooDeep } from './event-size.ts';
import { PROCEDURES } from './procedure.ts';

/** The `!` lines of a recording: what people say of a run, and what the bridge notes of its link. */

const cellNumber = v.picklist([1, 2]);
const rowNumber = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(20));
/** Symbols of the formulas carry it, so it must print as plain digits; no laboratory comes near the bound. */
const setNumber = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(9999));
const finite = v.pipe(v.number(), v.finite());
const positive = v.pipe(finite, v.gtValue(0));
const notNegative = v.pipe(finite, v.minValue(0));
const nullId = v.pipe(v.string(), v.regex(/^n[1-9]\d*$/));

const typedText = v.pipe(v.string(), v.maxLength(40));

const eventSchema = v.variant('kind', [
  v.looseObject({
    kind: v.literal('about'),
    startedUtc: v.optional(v.string()),
    by: v.optional(v.array(v.string())),
    temperatureC: v.optional(finite),
  }),
  v.looseObject({ kind: v.literal('resumed'), utc: v.optional(v.string()) }),
  v.looseObject({ kind: v.literal('bench'), bench: v.looseObject({}) }),
  v.looseObject({ kind: v.literal('procedure'), procedure: v.picklist(PROCEDURES) }),
  v.looseObject({ kind: v.literal('set'), set: setNumber }),
  v.looseObject({ kind: v.literal('cell'), cell: v.picklist([0, 1, 2, 3]) }),
  v.looseObject({ kind: v.literal('row'), row: rowNumber }),
  v.looseObject({ kind: v.literal('protect'), in: v.boolean() }),
  v.looseObject({
    kind: v.literal('load'),
    in: v.boolean(),
    ohm: v.optional(positive),
    uOhm: v.optional(notNegative),
  }),
  v.looseObject({ kind: v.literal('ammeter'), readingMa: finite }),
  v.looseObject({
    kind: v.literal('length'),
    cell: v.optional(cellNumber),
    set: v.optional(setNumber),
    row: v.optional(rowNumber),
    scaleCm: finite,
    uCm: v.optional(notNegative),
  }),
  v.looseObject({ kind: v.literal('reject'), null: nullId, reason: v.optional(v.string()) }),
  v.looseObject({ kind: v.literal('restore'), null: nullId }),
  v.looseObject({
    kind: v.literal('assign'),
    null: nullId,
    cell: v.optional(cellNumber),
    row: v.optional(rowNumber),
    set: v.optional(setNumber),
  }),
  v.looseObject({ kind: v.literal('undo'), event: v.pipe(v.number(), v.integer(), v.minValue(1)) }),
  v.looseObject({ kind: v.literal('link'), up: v.boolean() }),
  v.looseObject({ kind: v.literal('note'), text: v.string() }),
  /** Which room of benches the recording is sent to, and by which computer. Ours, beyond the fixed format. */
  v.looseObject({ kind: v.literal('room'), room: typedText, station: typedText }),
  /** What somebody worked out by hand, as it was typed. Ours, beyond the fixed format. */
  v.looseObject({
    kind: v.literal('working'),
    sets: v.pipe(
      v.array(v.object({ set: setNumber, ammeterMa: typedText, made: typedText })),
      v.maxLength(500),
    ),
    mean: typedText,
    uncertainty: typedText,
  }),
  /** A teacher keeps the results back until the own working is handed in, or no more. Ours, beyond the fixed format. */
  v.looseObject({ kind: v.literal('results'), hidden: v.boolean() }),
]);

export type RunEvent = v.InferOutput<typeof eventSchema>;
export type RunEventOf<Kind extends RunEvent['kind']> = Extract<RunEvent, { kind: Kind }>;

/** Reads an event from the JSON text of a `!` line. Null where it is none that this version knows. */
export function readEvent(json: string): RunEvent | null {
  try {
    return checkEvent(JSON.parse(json));
  } catch {
    return null;
  }
}

/** Checks a value that should be an event, as a page or a script sends it. */
export function checkEvent(value: unknown): RunEvent | null {
  if (isNestedTooDeep(value)) return null;
  const parsed = v.safeParse(eventSchema, value);
  return parsed.success ? parsed.output : null;
}
