import type { Buffer } from 'node:buffer';
import type { Copies } from './copies.ts';
import type { Chunk, Kept, Summary } from './messages.ts';
import { readChunk, readStationState, readSummary } from './messages.ts';
import type { RunCopy } from './run-copy.ts';
import type { RunPlace } from './topics.ts';
import { readTopic, runKey } from './topics.ts';

/** New runs that a room takes in within a day: beyond it, one station could fill its memory with names. */
const MOST_RUNS = 2000;
const MOST_RUNS_A_STATION = 200;
const DAY_MS = 24 * 3_600_000;
const MOST_COPIES = 9;
/** The room's word is said again to a station that does not go by it, but not to each of its chunks. */
const SAY_AGAIN_MS = 200;

export interface CollectorOwner {
  /** So much of a run is kept. */
  kept(place: RunPlace, kept: Kept): void;
  /** @param retained it may be of a run that is no more */
  summary(place: RunPlace, summary: Summary, retained: boolean): void;
  /** A station came, or vanished. */
  station(name: string, up: boolean): void;
  /** The room's disk refuses, in the words of its system; null once it is written to again. */
  trouble(place: RunPlace, text: string | null): void;
}

/** What the room did not take in, and why. */
export interface Refusals {
  /** Messages that are none of ours. */
  unreadable: number;
  /** More runs or copies than a room takes in. */
  tooMany: number;
}

interface Held {
  copy: RunCopy;
  number: number;
  saidAt: number;
}

/** Takes in what stations send: writes chunks to the room's copies, and hands the rest on. */
export class Collector {
  readonly refused: Refusals = { unreadable: 0, tooMany: 0 };
  readonly #room: string;
  readonly #copies: Copies;
  readonly #owner: CollectorOwner;
  readonly #held = new Map<string, Promise<Held>>();
  readonly #known = new Set<string>();
  /** How many of a station's runs were new since the day began. */
  #newOf = new Map<string, number>();
  #dayMs = performance.now();

  constructor(room: string, copies: Copies, owner: CollectorOwner) {
    this.#room = room;
    this.#copies = copies;
    this.#owner = owner;
    for (const place of copies.list()) this.#known.add(runKey(place));
  }

  /** A message of the broker. What is none of ours is counted. */
  heard(topic: string, payload: Buffer, retained = false): void {
    // A retained message that was cleared.
    if (payload.length === 0) return;
    if (!this.#understood(topic, payload, retained)) this.refused.unreadable += 1;
  }

  async close(): Promise<void> {
    const held = await Promise.allSettled(this.#held.values());
    await Promise.all(held.map((one) => (one.status === 'fulfilled' ? one.value.copy.close() : undefined)));
  }

  #understood(topic: string, payload: Buffer, retained: boolean): boolean {
    const place = readTopic(this.#room, topic);
    if (place?.what === 'station') {
      const state = readStationState(payload);
      if (state !== null) this.#owner.station(place.station, state.up);
      return state !== null;
    }
    if (place?.what === 'summary') {
      const summary = readSummary(payload);
      if (summary !== null && this.#admit(place)) this.#owner.summary(runOf(place), summary, retained);
      return summary !== null;
    }
    if (place?.what !== 'chunk') return false;
    const chunk = readChunk(payload);
    if (chunk !== null && this.#admit(place)) void this.#take(runOf(place), chunk);
    return chunk !== null;
  }

  #admit(place: RunPlace): boolean {
    if (this.#known.has(runKey(place))) return true;
    if (performance.now() - this.#dayMs > DAY_MS) {
      this.#newOf = new Map();
      this.#dayMs = performance.now();
    }
    const count = this.#newOf.get(place.station) ?? 0;
    const all = [...this.#newOf.values()].reduce((sum, one) => sum + one, 0);
    if (count >= MOST_RUNS_A_STATION || all >= MOST_RUNS) {
      this.refused.tooMany += 1;
      return false;
    }
    this.#known.add(runKey(place));
    this.#newOf.set(place.station, count + 1);
    return true;
  }

  async #take(place: RunPlace, chunk: Chunk): Promise<void> {
    try {
      const held = await this.#heldFor(place, chunk);
      const follows = chunk.copy === held.number && held.copy.take(chunk) === 'appended';
      if (!follows) this.#sayAgain(place, held);
    } catch (error) {
      this.#owner.trouble(place, (error as Error).message);
    }
  }

  /** The copy that is written to; a new one where the station begins another because the first differs. */
  async #heldFor(place: RunPlace, chunk: Chunk): Promise<Held> {
    const held = await this.#newest(place);
    if (chunk.copy !== held.number + 1 || chunk.offset !== 0) return held;
    if (chunk.copy > MOST_COPIES) {
      this.refused.tooMany += 1;
      return held;
    }
    await held.copy.close();
    // Two chunks of one station may have waited here for the same copy.
    const now = await this.#newest(place);
    return now.number === held.number ? this.#hold(place, chunk.copy) : now;
  }

  #newest(place: RunPlace): Promise<Held> {
    const found = this.#held.get(runKey(place));
    if (found !== undefined) return found;
    const copies = this.#copies.list().filter((one) => runKey(one) === runKey(place));
    return this.#hold(place, copies.at(0)?.copy ?? 1);
  }

  #hold(place: RunPlace, number: number): Promise<Held> {
    const key = runKey(place);
    const opening = this.#copies
      .open(place, number, {
        kept: (kept) => this.#owner.kept(place, kept),
        trouble: (text) => this.#owner.trouble(place, text),
      })
      .then((copy) => ({ copy, number, saidAt: Number.NEGATIVE_INFINITY }));
    this.#held.set(key, opening);
    opening.catch(() => this.#held.delete(key));
    return opening;
  }

  #sayAgain(place: RunPlace, held: Held): void {
    if (performance.now() - held.saidAt < SAY_AGAIN_MS) return;
    held.saidAt = performance.now();
    this.#owner.kept(place, held.copy.kept);
  }
}

const runOf = ({ station, run }: RunPlace): RunPlace => ({ station, run });
