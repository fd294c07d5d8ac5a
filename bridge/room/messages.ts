import { Buffer } from 'node:buffer';
import * as v from 'valibot';
import type { Procedure } from '../run/procedure.ts';
import { PROCEDURES } from '../run/procedure.ts';

/** What is sent between a room and its stations. All but a chunk are JSON; `docs/room.asyncapi.json` describes them for others. */

/** Longer JSON is none of ours. */
const MOST_JSON_BYTES = 8192;
/** Bytes of a recording in one chunk. */
export const CHUNK_BYTES = 32 << 10;

const text = v.pipe(v.string(), v.maxLength(200));
const finite = v.pipe(v.number(), v.finite());
const count = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(Number.MAX_SAFE_INTEGER));
const sha256 = v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/));
const copy = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(9));
const version = v.literal(1);

/** The room itself. `id` tells two rooms of one name apart. */
const roomState = v.object({ v: version, id: text, up: v.boolean(), ended: v.boolean() });

/** A computer at the benches. */
const stationState = v.object({ v: version, up: v.boolean() });

/** How a run stands. Lengths in cm, times in s of board time. */
const summary = v.object({
  v: version,
  bench: text,
  procedure: v.picklist(PROCEDURES),
  /** The next thing to do, by its code. */
  step: text,
  set: v.nullable(finite),
  cell: v.nullable(finite),
  /** Ends of the wire tried, nulls that count, sets that gave a result. */
  endsTried: count,
  nulls: count,
  setsDone: count,
  lastNull: v.nullable(v.object({ id: text, lengthCm: v.nullable(finite), uCm: finite, atS: finite })),
  result: v.nullable(v.object({ quantity: text, value: finite, U: finite, unit: text })),
  /** The gravest finding, by its code. */
  finding: v.nullable(v.object({ code: text, severity: v.picklist(['stop', 'warn', 'note']) })),
  linkUp: v.nullable(v.boolean()),
  /** Board time, and for how long nothing new was found in it. */
  atS: finite,
  quietS: finite,
  ended: v.boolean(),
  /** The bench calls for the teacher. */
  calls: v.boolean(),
  /** Bytes in the recording. */
  bytes: count,
});

/** The room has so many bytes of a run's recording synced to its disk, in its copy of this number. */
const kept = v.object({ v: version, copy, bytes: count, sha256 });

/** A line of text from the teacher. `answers`: it answers a call. */
const said = v.object({ v: version, text, answers: v.boolean() });

const chunkHead = v.object({
  v: version,
  copy,
  /** Where in the recording the bytes stand. */
  offset: count,
  /** Of all bytes before them. */
  before: sha256,
});

export type RoomState = v.InferOutput<typeof roomState>;
export type StationState = v.InferOutput<typeof stationState>;
export type Summary = v.InferOutput<typeof summary> & { procedure: Procedure };
export type Kept = v.InferOutput<typeof kept>;
export type Said = v.InferOutput<typeof said>;
export interface Chunk extends v.InferOutput<typeof chunkHead> {
  bytes: Buffer;
}

/** A message as it is published. */
export const jsonOf = (message: RoomState | StationState | Summary | Kept | Said): Buffer =>
  Buffer.from(JSON.stringify(message));

function reader<Schema extends v.GenericSchema>(schema: Schema) {
  return (payload: Buffer): v.InferOutput<Schema> | null => {
    if (payload.length > MOST_JSON_BYTES) return null;
    try {
      const parsed = v.safeParse(schema, JSON.parse(payload.toString('utf8')));
      return parsed.success ? parsed.output : null;
    } catch {
      return null;
    }
  };
}

/** Each answers null for what is no such message, and never throws. */
export const readRoomState = reader(roomState);
export const readStationState = reader(stationState);
export const readSummary = reader(summary);
export const readKept = reader(kept);
export const readSaid = reader(said);
const readChunkHead = reader(chunkHead);

const MOST_HEAD_BYTES = 300;
const LINE_FEED = 0x0a;

/** A line of JSON, then the bytes as they stand in the recording. */
export const chunkOf = ({ bytes, ...head }: Chunk): Buffer =>
  Buffer.concat([Buffer.from(`${JSON.stringify(head)}\n`), bytes]);

export function readChunk(payload: Buffer): Chunk | null {
  const feed = payload.subarray(0, MOST_HEAD_BYTES).indexOf(LINE_FEED);
  if (feed < 0) return null;
  const head = readChunkHead(payload.subarray(0, feed));
  const bytes = payload.subarray(feed + 1);
  return head === null || bytes.length === 0 || bytes.length > CHUNK_BYTES ? null : { ...head, bytes };
}
