import { randomUUID } from 'node:crypto';
import type { RunView } from '../run/view.ts';
import { Broadcast } from '../session/broadcast.ts';
import type { MakeRun } from '../session/make-run.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { BrokerLink, type LinkLogin } from './broker-link.ts';
import { type BoardRow, type ClassBoard, inOrderOfNeed, needsOf } from './class-board.ts';
import { boardGroups } from './class-results.ts';
import { Collector } from './collector.ts';
import { CopiedRun } from './copied-run.ts';
import type { Copies } from './copies.ts';
import { jsonOf, type Kept, type RoomState, readRoomState, type Summary } from './messages.ts';
import {
  heardByRoom,
  type RunPlace,
  readTopic,
  roomTopic,
  runKey,
  runTopic,
  saidToAll,
  stationTopic,
} from './topics.ts';

export interface RoomOptions {
  name: string;
  broker: string;
  ca: Buffer | null;
  logins: readonly LinkLogin[];
  copies: Copies;
  makeRun: MakeRun;
  /** Where the runs of the class are put, to be watched. */
  sessions: SessionRegistry;
  /** What the terminal says. */
  note: (text: string) => void;
  /** Live pages that are kept open; of those beyond it, the runs that are over are let go first. */
  mostOpen?: number;
}

/** What is known of one run of the class. */
interface Entry {
  place: RunPlace;
  /** When it was first heard of, by this computer's own clock. */
  firstMs: number;
  /** Its station has said nothing of it since it was last there: it may be a run of before. */
  isLost: boolean;
  summary: Summary | null;
  kept: Kept | null;
  session: CopiedRun | null;
  trouble: string | null;
  said: string | null;
  /** The view that the class's results were last made of, and when the run had changed since. */
  view: RunView | null;
  isViewOld: boolean;
}

/** Two classes of twenty and more: each keeps its newest readings in memory. */
const MOST_OPEN = 60;
const CLASS_INTERVAL_MS = 2000;
/** After joining a broker: what was said before has come by then. */
const LOOK_ROUND_MS = 1000;
/** A room that is there answers within this time; one whose power failed does not. */
const ANSWER_MS = 5000;
/** Results are worked out for at most a tenth of the time. */
const REST = 9;

/** A room of benches: takes in what stations send, and shows it on one board. */
export class Room {
  readonly #options: RoomOptions;
  readonly #link: BrokerLink;
  readonly #collector: Collector;
  readonly #id = randomUUID();
  readonly #entries = new Map<string, Entry>();
  readonly #stations = new Map<string, boolean>();
  readonly #changes = new Broadcast<void>();
  #trouble: string | null = 'the broker has not answered yet';
  /** Another room of this name that was here before; it alone says what is kept. */
  #other: string | null = null;
  #shown = false;
  #ended = false;
  #saidToAll: string | null = null;
  #groups: ClassBoard['groups'] = [];
  #groupsMs = 0;
  #timer: NodeJS.Timeout | null = null;
  /** Until this room says that it is there. */
  #comingIn: NodeJS.Timeout | null = null;
  /** It has found itself alone at the broker; until then the bytes on the way may be another room's. */
  #hasComeIn = false;

  constructor(options: RoomOptions) {
    this.#options = options;
    const { name } = options;
    this.#collector = new Collector(name, options.copies, {
      kept: (place, kept) => this.#keep(place, kept),
      summary: (place, summary, retained) => this.#sum(place, summary, retained),
      station: (station, up) => this.#noteStation(station, up),
      trouble: (place, text) => this.#noteTrouble(place, text),
    });
    this.#link = new BrokerLink({
      broker: options.broker,
      ca: options.ca,
      logins: options.logins,
      hears: heardByRoom(name),
      will: { topic: roomTopic(name), payload: jsonOf(this.#state(false)) },
      heard: (topic, payload, retained) => this.#heard(topic, payload, retained),
      turned: (up) => this.#turned(up),
      refused: 'it refuses the room: see TENWIRE_ROOM_USER and TENWIRE_ROOM_PASSWORD',
      trouble: (text) => this.#setTrouble(text),
    });
  }

  onChange(listener: () => void): () => void {
    return this.#changes.on(listener);
  }

  board(): ClassBoard {
    return {
      room: this.#options.name,
      rows: inOrderOfNeed(this.#newestOfEachBench().map((entry) => this.#row(entry))),
      shown: this.#shown,
      results: [...this.#entries.values()].filter(({ summary }) => summary?.result != null).length,
      groups: this.#shown ? this.#groups : [],
      trouble: this.#other ?? this.#trouble,
      saidToAll: this.#saidToAll,
      refused: this.#collector.refused.unreadable + this.#collector.refused.tooMany,
      ended: this.#ended,
    };
  }

  /** Shows results and the class's value, or hides them. */
  show(shown: boolean): void {
    this.#shown = shown;
    if (shown) this.#groupSoon();
    this.#changes.tell();
  }

  /** A line of text to one bench, or to all; an empty one takes the last away. It answers a call. */
  say(text: string, place: RunPlace | null): void {
    const entry = place === null ? null : this.#entries.get(runKey(place));
    if (entry === undefined) return;
    const { name } = this.#options;
    const topic = entry === null ? saidToAll(name) : runTopic(name, entry.place, 'said');
    const payload = text === '' ? '' : jsonOf({ v: 1, text, answers: entry !== null });
    this.#link.publish(topic, payload, { retain: true });
    if (entry === null) this.#saidToAll = text || null;
    else entry.said = text || null;
    this.#changes.tell();
  }

  /** Ends the class: nothing more is taken in, and the broker keeps nothing of it. The recordings stay where they are. */
  endClass(): void {
    const { name } = this.#options;
    this.#ended = true;
    this.#link.publish(roomTopic(name), jsonOf(this.#state(false)), { retain: true });
    const topics = [
      saidToAll(name),
      ...[...this.#stations.keys()].map((station) => stationTopic(name, station)),
      ...[...this.#entries.values()].flatMap(({ place }) =>
        (['summary', 'kept', 'said'] as const).map((what) => runTopic(name, place, what)),
      ),
    ];
    for (const topic of topics) this.#link.publish(topic, '', { retain: true });
    this.#changes.tell();
  }

  async close(): Promise<void> {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#stopComingIn();
    await this.#collector.close();
    if (!this.#ended) this.#publishState(false);
    await this.#link.close();
    for (const { session } of this.#entries.values()) session?.close();
  }

  #state(up: boolean): RoomState {
    return { v: 1, id: this.#id, up, ended: this.#ended };
  }

  #publishState(up: boolean): void {
    if (this.#other === null)
      this.#link.publish(roomTopic(this.#options.name), jsonOf(this.#state(up)), { retain: true });
  }

  #turned(up: boolean): void {
    this.#setTrouble(up ? null : 'the broker is away');
    // What another one left may have come before the broker's answer, and has been asked after then.
    if (!up) this.#stopComingIn();
    else if (this.#comingIn === null) this.#comeInAfter(LOOK_ROUND_MS);
  }

  #comeInAfter(ms: number): void {
    this.#stopComingIn();
    this.#comingIn = setTimeout(() => {
      this.#comingIn = null;
      this.#hasComeIn = true;
      this.#other = null;
      if (!this.#ended) this.#publishState(true);
      this.#changes.tell();
    }, ms);
  }

  #stopComingIn(): void {
    if (this.#comingIn !== null) clearTimeout(this.#comingIn);
    this.#comingIn = null;
  }

  #heard(topic: string, payload: Buffer, retained: boolean): void {
    if (topic === roomTopic(this.#options.name)) this.#hearRoom(readRoomState(payload), retained);
    else if (!this.#ended && this.#other === null && (this.#hasComeIn || !this.#isChunk(topic)))
      this.#collector.heard(topic, payload, retained);
  }

  #isChunk(topic: string): boolean {
    return readTopic(this.#options.name, topic)?.what === 'chunk';
  }

  /** Of two rooms of one name the one that was there goes on; where both came at once, the one whose id is smaller. */
  #hearRoom(said: RoomState | null, retained: boolean): void {
    if (said === null || said.id === this.#id) return;
    if (!said.up) this.#otherLeaves(retained);
    else if (retained) this.#ask();
    else if (this.#comingIn !== null || this.#other !== null || said.id < this.#id) this.#yield();
    else this.#publishState(true);
    this.#changes.tell();
  }

  /** Another one asks whether this room is there, or has gone. */
  #otherLeaves(retained: boolean): void {
    if (retained) return;
    if (this.#other !== null) {
      this.#options.note(`the other room ${this.#options.name} has gone: this one goes on`);
      this.#comeInAfter(LOOK_ROUND_MS);
    } else if (this.#comingIn === null && !this.#ended) this.#publishState(true);
  }

  /** A room of this name was there. If it still is it answers; if its power failed nobody said so. */
  #ask(): void {
    this.#other = `a room ${this.#options.name} was there before at this broker: waiting for its answer`;
    this.#link.publish(roomTopic(this.#options.name), jsonOf(this.#state(false)));
    this.#comeInAfter(ANSWER_MS);
  }

  #yield(): void {
    const text = `a room ${this.#options.name} is already there at this broker: this one takes nothing in until that has gone`;
    this.#stopComingIn();
    if (this.#other !== text) this.#options.note(text);
    this.#other = text;
  }

  #setTrouble(text: string | null): void {
    if (text === this.#trouble) return;
    this.#trouble = text;
    this.#options.note(`broker: ${text ?? 'answers'}`);
    this.#changes.tell();
  }

  #entryFor(place: RunPlace): Entry {
    const key = runKey(place);
    const known = this.#entries.get(key);
    if (known !== undefined) return known;
    const entry: Entry = {
      place,
      firstMs: performance.now(),
      isLost: true,
      ...{ summary: null, kept: null, session: null, trouble: null, said: null, view: null },
      isViewOld: true,
    };
    this.#entries.set(key, entry);
    return entry;
  }

  #keep(place: RunPlace, kept: Kept): void {
    if (this.#ended) return;
    const entry = this.#entryFor(place);
    this.#link.publish(runTopic(this.#options.name, place, 'kept'), jsonOf(kept), { retain: true });
    if (entry.kept !== null && kept.copy > entry.kept.copy) {
      this.#options.note(`${place.station}: ${place.run} differs from the copy that is here; both are kept`);
      this.#drop(entry);
    }
    entry.kept = kept;
    this.#watch(entry);
    this.#changes.tell();
  }

  #watch(entry: Entry): void {
    const { kept, summary, place } = entry;
    // Without a word on how it stands it was left over from another day: kept, and no bench of today.
    if (kept === null || summary === null) return;
    // A run that was let go is not opened again by the last word of its station.
    if (entry.session === null && entry.view !== null && summary.ended) return;
    const path = this.#options.copies.path(place, kept.copy);
    entry.session ??= this.#open(entry, path, `${summary.bench} (${place.station})`);
    entry.session.grown(kept.bytes);
    this.#endWhereComplete(entry);
  }

  #open(entry: Entry, path: string, title: string): CopiedRun {
    const session = new CopiedRun(runKey(entry.place), title, path, this.#options.makeRun);
    session.onChange(() => {
      entry.isViewOld = true;
      this.#endWhereComplete(entry);
      this.#groupSoon();
    });
    this.#letGo();
    this.#options.sessions.add(session);
    return session;
  }

  /** A room may be open for weeks. What a run found stays. */
  #letGo(): void {
    const open = [...this.#entries.values()].filter(({ session }) => session !== null);
    if (open.length < (this.#options.mostOpen ?? MOST_OPEN)) return;
    const over = open.find(({ isLost, summary }) => isLost || summary?.ended === true);
    if (over === undefined) return;
    if (over.summary?.result != null) over.view = over.session?.view() ?? over.view;
    this.#drop(over);
  }

  #endWhereComplete({ summary, session }: Entry): void {
    if (summary?.ended === true) session?.endAt(summary.bytes);
  }

  #drop(entry: Entry): void {
    if (entry.session === null) return;
    this.#options.sessions.remove(entry.session.summary.id);
    entry.session.close();
    entry.session = null;
  }

  #sum(place: RunPlace, summary: Summary, retained: boolean): void {
    const entry = this.#entryFor(place);
    entry.summary = summary;
    entry.isLost = retained;
    this.#watch(entry);
    this.#changes.tell();
  }

  #noteStation(station: string, up: boolean): void {
    this.#stations.set(station, up);
    for (const entry of this.#entries.values())
      if (!up && entry.place.station === station) entry.isLost = true;
    this.#changes.tell();
  }

  #noteTrouble(place: RunPlace, text: string | null): void {
    const entry = this.#entryFor(place);
    if (entry.trouble === text) return;
    entry.trouble = text;
    this.#options.note(
      `${place.station}: ${place.run} ${text === null ? 'is written again' : `can't be written: ${text}`}`,
    );
    this.#changes.tell();
  }

  /** A bench that began another run is shown with that one; two that go on under one name are two benches. */
  #newestOfEachBench(): Entry[] {
    const told = [...this.#entries.values()].filter(({ summary }) => summary !== null);
    const isOver = (entry: Entry) =>
      (entry.isLost || entry.summary?.ended === true) &&
      told.some((other) => benchOf(other) === benchOf(entry) && isLater(other, entry));
    return told.filter((entry) => !isOver(entry));
  }

  #row({ place, summary, kept, session, trouble, said }: Entry): BoardRow {
    const { v: _, result, bench, bytes, ...told } = summary as Summary;
    const stationUp = this.#stations.get(place.station) ?? false;
    return {
      ...place,
      session: session?.summary.id ?? null,
      bench,
      by: [...(session?.by ?? [])],
      needs: needsOf(summary as Summary, stationUp),
      summary: told,
      result: this.#shown ? result : null,
      hasResult: result !== null,
      stationUp,
      behindBytes: Math.max(0, bytes - (kept?.bytes ?? 0)),
      copies: kept?.copy ?? 1,
      trouble,
      said,
    };
  }

  #groupSoon(): void {
    if (!this.#shown || this.#timer !== null) return;
    this.#timer = setTimeout(
      () => {
        this.#timer = null;
        this.#group();
      },
      Math.max(CLASS_INTERVAL_MS, REST * this.#groupsMs),
    );
  }

  /** Everything else of the room is told by the stations; results are worked out here, from what their recordings say. */
  #group(): void {
    const began = performance.now();
    const runs = [...this.#entries.values()].flatMap((entry) => {
      if (entry.summary?.result == null) return [];
      if (entry.session !== null && (entry.isViewOld || entry.view === null))
        entry.view = entry.session.view();
      entry.isViewOld = false;
      return entry.view === null ? [] : [{ station: entry.place.station, view: entry.view }];
    });
    this.#groups = boardGroups(runs);
    this.#groupsMs = performance.now() - began;
    this.#changes.tell();
  }
}

/** What a broker kept comes at once and in any order; recordings are named after the moment at which they began. */
const AT_ONCE_MS = 2000;

const isLater = (one: Entry, other: Entry): boolean => {
  const sinceMs = one.firstMs - other.firstMs;
  return Math.abs(sinceMs) > AT_ONCE_MS ? sinceMs > 0 : one.place.run > other.place.run;
};

const benchOf = ({ place, summary }: Entry): string => `${place.station}/${summary?.bench}`;
