import type { Readable } from 'node:stream';
import * as v from 'valibot';
import type { Refused } from '../calc-core/message.ts';
import { LANGUAGES } from '../messages/language.ts';
import { HEAD_FIELDS } from '../run/about.ts';
import { PROCEDURES } from '../run/procedure.ts';

/**
 * What a page asks of the bridge beside the runs: `POST /api/NAME` with this as its JSON body. Each is answered by the method
 * of that name of `BenchSetup`, with `{ ok: true, ... }` or a sentence that says why not. Only a page that may steer is answered.
 */

const text = v.pipe(v.string(), v.maxLength(300));
const finite = v.pipe(v.number(), v.finite());
const positive = v.pipe(finite, v.gtValue(0));
const baud = v.pipe(v.number(), v.integer(), v.minValue(300), v.maxValue(4_000_000));
/** Of pages for print; tables and JSON have none. */
const language = v.optional(v.picklist(LANGUAGES), 'en');
const point = v.object({ counts: finite, scaleCm: finite });

export const ROUTES = {
  /** The serial ports of this computer. */
  ports: v.object({}),
  /** Opens a port for set-up alone, nothing is recorded. Answers from where its counts come. */
  listen: v.object({ port: text, baud }),
  /** The means of the next samples of a run, or of the port that is open for set-up. */
  hold: v.object({ from: text }),
  fit: v.object({ points: v.pipe(v.array(point), v.maxLength(100)) }),
  /** Microamperes a count: from a known current, or from the front end. */
  scale: v.union([
    v.object({ zeroCounts: finite, counts: finite, knownUa: finite }),
    v.object({ spanV: positive, counts: positive, gain: positive, shuntOhm: positive }),
  ]),
  benches: v.object({}),
  bench: v.object({ file: text }),
  /** Saves a bench file, and puts it in force in a live run where one is named. */
  save: v.object({ file: text, bench: v.unknown(), run: v.nullable(text) }),
  plan: v.object({
    bench: v.unknown(),
    rheostatOhm: v.tuple([finite, finite]),
    driverResistanceOhm: finite,
    sets: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(50)),
    uReadCm: finite,
  }),
  start: v.object({
    port: text,
    baud,
    file: text,
    by: v.pipe(v.array(text), v.maxLength(20)),
    temperatureC: v.nullable(finite),
    procedure: v.picklist(PROCEDURES),
    head: v.optional(v.partial(v.object(v.entriesFromList(HEAD_FIELDS, text)))),
  }),
  /** Goes on in a recording, which knows the bench and all that was said. */
  resume: v.object({ port: text, baud, file: text }),
  recordings: v.object({}),
  /** Whose a recording is, and what came of it. */
  summary: v.object({ file: text }),
  /** What the runs of some recordings found together: one print with their records, or a table. */
  class: v.object({
    files: v.pipe(v.array(text), v.minLength(1), v.maxLength(200)),
    as: v.picklist(['print', 'csv', 'json']),
    language,
  }),
  replay: v.object({ file: text }),
  /** The view at the end of a recording. */
  whole: v.object({ file: text }),
  /** The record of a run as it stands now; of a replay that of its whole recording. */
  export: v.object({
    session: text,
    as: v.picklist(['page', 'short', 'sheet', 'json', 'sets', 'nulls']),
    language,
  }),
  /** Ends a replay, a run that was begun from a page, or listening for set-up. */
  end: v.object({ session: text }),
};

export type RouteName = keyof typeof ROUTES;
export type Asked<Name extends RouteName> = v.InferOutput<(typeof ROUTES)[Name]>;

export const isRouteName = (name: string): name is RouteName => Object.hasOwn(ROUTES, name);

type Answer = { ok: true } | Refused;

/** A method for each route; `isTeacher`: results that are hidden from others are for whoever asks. */
export type Routed = {
  [Name in RouteName]: (asked: Asked<Name>, isTeacher: boolean) => Answer | Promise<Answer>;
} & {
  /** `POST /api/drop?name=NAME` with the file itself. */
  drop(name: string, bytes: Readable): Promise<Answer>;
};

/** What is granted. */
export const granted = <Given extends object>(given: Given): { ok: true } & Given => ({ ok: true, ...given });
