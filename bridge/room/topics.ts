/**
 * The topics of a room of benches, on any MQTT 3.1.1 broker:
 *
 *     tenwire/ROOM/room                      the room, retained, with a last will
 *     tenwire/ROOM/said                      a line of text to all, retained
 *     tenwire/ROOM/STATION/station           a computer at the benches, retained, with a last will
 *     tenwire/ROOM/STATION/RUN/summary       how a run stands, retained
 *     tenwire/ROOM/STATION/RUN/chunk         bytes of its recording
 *     tenwire/ROOM/STATION/RUN/kept          how much of it the room has on its disk, retained
 *     tenwire/ROOM/STATION/RUN/said          a line of text to its bench, retained
 *
 * A station may write `station`, `summary` and `chunk` under its own name, and read `kept` and `said` there. Names of people are no
 * part of a topic.
 */

const ROOT = 'tenwire';

/** A room and a station go by a name of at most 24 lower-case letters, digits and single dashes. */
const NAME = /^(?!.*--)[a-z0-9][a-z0-9-]{0,23}$/;
/** A run goes by the name of its recording, without `.rec`. */
const RUN = /^(?!.*--)[A-Za-z0-9][A-Za-z0-9._-]{0,79}$/;

export const isRoomName = (text: string): boolean => NAME.test(text);
export const isRunName = (text: string): boolean => RUN.test(text);

/** The nearest name that a room or a station may have; empty where nothing is left of it. */
export const roomNameFrom = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-/, '')
    .slice(0, 24)
    .replace(/-$/, '');

export interface RunPlace {
  station: string;
  run: string;
}

/** Tells the runs of a room apart. */
export const runKey = ({ station, run }: RunPlace): string => `${station}/${run}`;

export type RunTopic = 'summary' | 'chunk' | 'kept' | 'said';

export const roomTopic = (room: string): string => `${ROOT}/${room}/room`;
export const saidToAll = (room: string): string => `${ROOT}/${room}/said`;
export const stationTopic = (room: string, station: string): string => `${ROOT}/${room}/${station}/station`;
export const runTopic = (room: string, { station, run }: RunPlace, what: RunTopic): string =>
  `${ROOT}/${room}/${station}/${run}/${what}`;

/** What the room listens to: every station, every run. */
export const heardByRoom = (room: string): string[] => [
  roomTopic(room),
  `${ROOT}/${room}/+/station`,
  `${ROOT}/${room}/+/+/summary`,
  `${ROOT}/${room}/+/+/chunk`,
];

/** What a station listens to. */
export const heardByStation = (room: string, station: string): string[] => [
  roomTopic(room),
  saidToAll(room),
  `${ROOT}/${room}/${station}/+/kept`,
  `${ROOT}/${room}/${station}/+/said`,
];

const STATION_WRITES: ReadonlySet<string> = new Set(['summary', 'chunk']);

/** Whether a station may publish to a topic. */
export function mayPublish(room: string, station: string, topic: string): boolean {
  const place = readTopic(room, topic);
  if (place === null || !('station' in place) || place.station !== station) return false;
  return place.what === 'station' || STATION_WRITES.has(place.what);
}

/** Whether a station may subscribe to a filter: none but its own, and none wider. */
export const maySubscribe = (room: string, station: string, filter: string): boolean =>
  heardByStation(room, station).includes(filter);

export type Topic = { what: 'room' } | { what: 'station'; station: string } | ({ what: RunTopic } & RunPlace);

const RUN_TOPICS: ReadonlySet<string> = new Set<RunTopic>(['summary', 'chunk', 'kept', 'said']);
const isRunTopic = (what: string): what is RunTopic => RUN_TOPICS.has(what);

/** What a topic of this room is; null for any other, and for names that are none. */
export function readTopic(room: string, topic: string): Topic | null {
  const [root, of, ...levels] = topic.split('/');
  if (root !== ROOT || of !== room) return null;
  if (levels.length === 1) return levels[0] === 'room' ? { what: 'room' } : null;
  const [station, run, what] = levels;
  if (!isRoomName(station)) return null;
  if (levels.length === 2) return run === 'station' ? { what: 'station', station } : null;
  return levels.length === 3 && isRunName(run) && isRunTopic(what) ? { what, station, run } : null;
}
