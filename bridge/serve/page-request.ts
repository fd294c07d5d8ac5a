import * as v from 'valibot';
import { checkEvent, type RunEvent } from '../run/events.ts';

/** What a page sends over the WebSocket. */

const finite = v.pipe(v.number(), v.finite());
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const name = v.pipe(v.string(), v.maxLength(300));

/** What only the bridge itself writes into a recording. */
const NOT_FROM_A_PAGE: RunEvent['kind'][] = ['bench', 'link', 'resumed', 'room'];

const event = v.pipe(
  v.unknown(),
  v.transform(checkEvent),
  v.check((checked) => checked !== null && !NOT_FROM_A_PAGE.includes(checked.kind)),
  v.transform((checked) => checked as RunEvent),
);

const handOrder = v.strictObject({
  to: v.optional(
    v.strictObject({
      row: v.optional(v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(20))),
      scaleCm: v.optional(v.pipe(finite, v.minValue(0), v.maxValue(1000))),
    }),
  ),
  pressed: v.optional(v.boolean()),
  switches: v.optional(
    v.strictObject({
      keyClosed: v.optional(v.boolean()),
      cell: v.optional(v.picklist([0, 1, 2])),
      protect: v.optional(v.boolean()),
      load: v.optional(v.boolean()),
      loadOhm: v.optional(v.pipe(finite, v.gtValue(0), v.maxValue(1000))),
      rheostatOhm: v.optional(v.pipe(finite, v.minValue(0), v.maxValue(1000))),
    }),
  ),
});

/** What the view for the room shows: the deflection until there is a result, or what a page that steers chose. */
const ROOM_SHOWS = ['by itself', 'deflection', 'plot', 'table', 'result', 'nothing'] as const;
export type RoomShows = (typeof ROOM_SHOWS)[number];

const requestSchema = v.variant('type', [
  v.strictObject({ type: v.literal('open'), session: name }),
  v.strictObject({ type: v.literal('ack'), frame: count }),
  v.strictObject({ type: v.literal('event'), request: count, event }),
  v.strictObject({ type: v.literal('hand'), order: handOrder }),
  v.strictObject({
    type: v.literal('play'),
    playing: v.optional(v.boolean()),
    speed: v.optional(v.pipe(finite, v.minValue(0.1), v.maxValue(1000))),
    seekS: v.optional(v.pipe(finite, v.minValue(0))),
    step: v.optional(v.picklist(['next', 'back'])),
  }),
  v.strictObject({ type: v.literal('room'), shows: v.picklist(ROOM_SHOWS) }),
  /** The class board, from now on or no more. */
  v.strictObject({ type: v.literal('board'), follow: v.boolean() }),
  /** Shows or hides what the class found, or ends the class. */
  v.strictObject({ type: v.literal('class'), do: v.picklist(['show', 'hide', 'end']) }),
  /** A line of text to one bench of the class, or to all. */
  v.strictObject({
    type: v.literal('say'),
    text: v.pipe(v.string(), v.maxLength(200)),
    to: v.nullable(v.strictObject({ station: name, run: name })),
  }),
  /** The run that is open calls for the teacher of its room, or no more. */
  v.strictObject({ type: v.literal('call'), on: v.boolean() }),
  /** How the result of the run that is open was worked out. */
  v.strictObject({ type: v.literal('calculation') }),
  /** The counts of a run, or of the port that is open for set-up, from now on; null: no more. */
  v.strictObject({ type: v.literal('counts'), from: v.nullable(name) }),
]);

export type FromPage = v.InferOutput<typeof requestSchema>;

/** Reads one message of a page; null for whatever is none. Never throws. */
export function readPageRequest(text: string): FromPage | null {
  try {
    const parsed = v.safeParse(requestSchema, JSON.parse(text));
    return parsed.success ? parsed.output : null;
  } catch {
    return null;
  }
}
