import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { RunSession } from '../session/run-session.ts';
import type { RoomLinkView } from '../session/session.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { BrokerLink, type LinkLogin } from './broker-link.ts';
import {
  chunkOf,
  jsonOf,
  type Kept,
  type RoomState,
  readKept,
  readRoomState,
  readSaid,
  type StationState,
} from './messages.ts';
import { Outbox } from './outbox.ts';
import type { RoomUrl } from './room-url.ts';
import { StationRun } from './station-run.ts';
import {
  heardByStation,
  isRunName,
  type RunPlace,
  readTopic,
  runTopic,
  saidToAll,
  stationTopic,
} from './topics.ts';

export interface StationOptions {
  url: RoomUrl;
  /** The name of this computer in the room. */
  name: string;
  logins: readonly LinkLogin[];
  ca: Buffer | null;
  /** What the terminal says of the link. */
  note: (text: string) => void;
}

const state = (up: boolean): StationState => ({ v: 1, up });

/** How long the end of a program waits for the room to have the last bytes. */
const LAST_BYTES_MS = 5000;
const LOOK_MS = 50;

/** This computer in a room: sends the recordings of its runs and how they stand, and hears what the room says. */
export class Station {
  readonly #options: StationOptions;
  readonly #link: BrokerLink;
  readonly #outboxes = new Map<string, Outbox>();
  readonly #runs = new Map<RunSession, StationRun>();
  readonly #leftOver = new Set<string>();
  #room: RoomState | null = null;
  #saidToAll: string | null = null;
  #trouble: string | null = null;

  constructor(options: StationOptions) {
    this.#options = options;
    const { url, name, logins, ca } = options;
    const will = { topic: stationTopic(url.room, name), payload: jsonOf(state(false)) };
    this.#link = new BrokerLink({
      broker: url.broker,
      ca,
      logins,
      hears: heardByStation(url.room, name),
      will,
      heard: (topic, payload) => this.#heard(topic, payload),
      turned: (up) => this.#turned(up),
      refused: `the broker refuses this computer: the token (TENWIRE_ROOM_TOKEN) or the password is wrong or missing, or another computer is paired as ${name}, which the room forgets with --forget ${name}`,
      trouble: (text) => this.#noteTrouble(text),
    });
  }

  /** The room is there, and takes in what comes. */
  get isOpen(): boolean {
    return this.#link.isUp && this.#room?.up === true && !this.#room.ended;
  }

  /** Sends every run of a bridge, from when it is there until it is gone. */
  follow(sessions: SessionRegistry): void {
    const look = () => {
      const present = sessions.list().flatMap(({ id }) => {
        const session = sessions.get(id);
        return session instanceof RunSession ? [session] : [];
      });
      for (const session of present) if (!this.#runs.has(session)) this.#add(session);
      for (const [session, run] of this.#runs) {
        if (present.includes(session)) continue;
        run.close();
        this.#runs.delete(session);
      }
    };
    sessions.onChange(look);
    look();
  }

  #add(session: RunSession): void {
    const { room } = this.#options.url;
    session.recordEvent({ kind: 'room', room, station: this.#options.name });
    const run = new StationRun(session, {
      outbox: (path) => this.send(path),
      summary: (path, summary) => this.#publish(path, 'summary', jsonOf(summary)),
      link: () => this.#linkView(),
    });
    this.#runs.set(session, run);
    session.joinRoom(run);
    run.roomChanged();
  }

  /** Sends what an earlier start left over, until the room has all of it: it grows no more. */
  sendRest(path: string): void {
    this.send(path);
    this.#leftOver.add(runNameOf(path));
  }

  /** Sends a recording, for as long as it grows. */
  send(path: string): Outbox {
    const run = runNameOf(path);
    // A run may go on in what was left over.
    this.#leftOver.delete(run);
    const known = this.#outboxes.get(run);
    if (known !== undefined) return known;
    const place = this.#place(run);
    const outbox = new Outbox(
      path,
      (chunk) => this.#link.publish(runTopic(this.#options.url.room, place, 'chunk'), chunkOf(chunk)),
      () => this.#sentMore(path),
    );
    this.#outboxes.set(run, outbox);
    if (this.isOpen) outbox.turn(true);
    return outbox;
  }

  /** After the runs have been closed: the room gets their last bytes, if it is there. */
  async close(): Promise<void> {
    for (const run of this.#runs.values()) run.close();
    for (let waited = 0; this.isOpen && !this.#allKept() && waited < LAST_BYTES_MS; waited += LOOK_MS)
      await sleep(LOOK_MS);
    await Promise.all([...this.#outboxes.values()].map((outbox) => outbox.close()));
    if (this.#link.isUp && this.#room?.ended !== true)
      this.#link.publish(stationTopic(this.#options.url.room, this.#options.name), jsonOf(state(false)), {
        retain: true,
      });
    await this.#link.close();
  }

  #sentMore(path: string): void {
    const run = runNameOf(path);
    const outbox = this.#outboxes.get(run);
    if (outbox?.isAllKept() && this.#leftOver.delete(run)) {
      this.#outboxes.delete(run);
      void outbox.close();
    }
    this.#tellRuns();
  }

  #allKept(): boolean {
    return [...this.#outboxes.values()].every((outbox) => outbox.isAllKept());
  }

  #place(run: string): RunPlace {
    return { station: this.#options.name, run };
  }

  #publish(path: string, what: 'summary', payload: Buffer): void {
    const { room } = this.#options.url;
    this.#link.publish(runTopic(room, this.#place(runNameOf(path)), what), payload, { retain: true });
  }

  #linkView(): Pick<RoomLinkView, 'room' | 'up' | 'trouble' | 'said'> {
    const { room } = this.#options.url;
    return { room, up: this.isOpen, trouble: this.isOpen ? null : this.#trouble, said: this.#saidToAll };
  }

  #turned(up: boolean): void {
    const { url, name } = this.#options;
    if (up) {
      this.#trouble = null;
      this.#options.note(`room ${url.room}: the broker answers`);
      this.#link.publish(stationTopic(url.room, name), jsonOf(state(true)), { retain: true });
    } else {
      this.#room = null;
      this.#options.note(
        `room ${url.room}: the broker is away; the run goes on, and what it lacks is sent later`,
      );
    }
    this.#turnOutboxes();
  }

  #turnOutboxes(): void {
    for (const outbox of this.#outboxes.values()) outbox.turn(this.isOpen);
    this.#tellRuns();
  }

  #tellRuns(): void {
    for (const run of this.#runs.values()) run.roomChanged();
  }

  #heard(topic: string, payload: Buffer): void {
    const { room } = this.#options.url;
    if (topic === saidToAll(room)) {
      this.#saidToAll = readSaid(payload)?.text ?? null;
      this.#tellRuns();
      return;
    }
    const place = readTopic(room, topic);
    if (place?.what === 'room') this.#hearRoom(readRoomState(payload));
    else if (place?.what === 'kept') this.#hearKept(place.run, readKept(payload));
    else if (place?.what === 'said') this.#runAt(place.run)?.heardSaid(readSaid(payload));
  }

  #hearRoom(said: RoomState | null): void {
    if (said === null) return;
    const before = this.#room;
    this.#room = said;
    // Another room of the same name, or this one after it began anew, may have less.
    if (before?.id === said.id && before.up === said.up && before.ended === said.ended) return;
    this.#options.note(
      `room ${this.#options.url.room}: ${said.ended ? 'the class has ended' : said.up ? 'is there' : 'is away'}`,
    );
    if (said.ended) this.#clear();
    this.#turnOutboxes();
  }

  /** The class has ended: the broker keeps nothing of this station. The room may have cleared before its last word came. */
  #clear(): void {
    const { url, name } = this.#options;
    const runs = [...this.#runs.values()].map(({ path }) => this.#place(runNameOf(path)));
    const topics = [
      stationTopic(url.room, name),
      ...runs.map((place) => runTopic(url.room, place, 'summary')),
    ];
    for (const topic of topics) this.#link.publish(topic, '', { retain: true });
  }

  #hearKept(run: string, kept: Kept | null): void {
    if (kept !== null) this.#outboxes.get(run)?.heard(kept);
  }

  #runAt(name: string): StationRun | undefined {
    return [...this.#runs.values()].find(({ path }) => runNameOf(path) === name);
  }

  #noteTrouble(text: string): void {
    if (text === this.#trouble) return;
    this.#trouble = text;
    this.#options.note(`room ${this.#options.url.room}: ${text}`);
    this.#tellRuns();
  }
}

/** The name of a recording where a topic can carry it, else one that is made of it. */
export function runNameOf(path: string): string {
  const stem = basename(path).replace(/\.rec$/, '');
  if (isRunName(stem)) return stem;
  const letters = stem
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-/, '')
    .slice(0, 60)
    .replace(/-$/, '');
  return `${letters === '' ? 'run' : letters}-${createHash('sha256').update(stem).digest('hex').slice(0, 8)}`;
}
