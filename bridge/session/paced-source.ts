import { setImmediate as nextTurn } from 'node:timers/promises';
import type { RecordLine } from '../recording/record.ts';
import type { LineSource, Pace, SourceFault, SourceListener } from '../serial/line-source.ts';

type Item = RecordLine | 'unreadable';

/** Longest stretch of work before the event loop gets its turn. */
const SLICE_MS = 12;
const TICK_MS = 16;
/** Records delivered at a time. */
const BATCH = 256;
const SKIP_BATCH = 16;
/** A recording that was taken up again the next day does not make a replay wait: longer pauses are cut. */
const MOST_PAUSE_MS = 10_000;

/** Records that carry their own time (a simulated bench, a recording), delivered at any speed. */
export class PacedSource implements LineSource, Pace {
  readonly kind: 'simulated' | 'replay';
  readonly #items: Iterator<Item, unknown>;
  readonly #release: () => void;
  #listener: SourceListener | null = null;
  #timer: NodeJS.Timeout | NodeJS.Immediate | null = null;
  #speed: number;
  #paused = false;
  /** Where a skip under way ends. */
  #skipTo: (() => boolean) | null = null;
  /** The source's own time that is due by now. */
  #dueMs = 0;
  #atMs = 0;
  #lastTick = 0;
  #waiting: Item | null = null;

  constructor(kind: 'simulated' | 'replay', items: Iterable<Item>, speed: number, release = () => {}) {
    this.kind = kind;
    this.#items = items[Symbol.iterator]();
    this.#speed = speed;
    this.#release = release;
  }

  get speed(): number {
    return this.#speed;
  }

  get paused(): boolean {
    return this.#paused;
  }

  get atMs(): number {
    return this.#atMs;
  }

  async start(listener: SourceListener): Promise<SourceFault | null> {
    this.#listener = listener;
    this.#lastTick = performance.now();
    this.#schedule();
    return null;
  }

  send(): boolean {
    return false;
  }

  setSpeed(speed: number): void {
    this.#catchUp();
    if (this.#dueMs === Number.POSITIVE_INFINITY) this.#dueMs = this.#atMs;
    this.#speed = speed;
    this.#schedule();
  }

  pause(): void {
    this.#catchUp();
    this.#paused = true;
    this.#unschedule();
  }

  resume(): void {
    if (!this.#paused) return;
    this.#paused = false;
    this.#lastTick = performance.now();
    this.#schedule();
  }

  /** Delivers without waiting, in slices, until `reached`; goes on from there at its speed. The last call counts. */
  async skipUntil(reached: () => boolean): Promise<void> {
    const underWay = this.#skipTo !== null;
    this.#skipTo = reached;
    if (underWay) return;
    this.#unschedule();
    this.#dueMs = Number.POSITIVE_INFINITY;
    while (this.#listener !== null && !this.#skipTo()) {
      this.#skipSlice(performance.now() + SLICE_MS);
      await nextTurn();
    }
    this.#skipTo = null;
    this.#dueMs = this.#atMs;
    this.#lastTick = performance.now();
    this.#schedule();
  }

  #skipSlice(untilMs: number): void {
    while (this.#skipTo?.() === false && performance.now() < untilMs) if (!this.#deliver(SKIP_BATCH)) return;
  }

  async close(): Promise<void> {
    this.#unschedule();
    if (this.#listener !== null) this.#release();
    this.#listener = null;
  }

  #schedule(): void {
    this.#unschedule();
    if (this.#listener === null || this.#paused || this.#skipTo !== null) return;
    const tick = () => this.#tick();
    this.#timer = this.#speed === Number.POSITIVE_INFINITY ? setImmediate(tick) : setTimeout(tick, TICK_MS);
  }

  #unschedule(): void {
    if (this.#timer === null) return;
    clearTimeout(this.#timer as NodeJS.Timeout);
    clearImmediate(this.#timer as NodeJS.Immediate);
    this.#timer = null;
  }

  #catchUp(): void {
    const now = performance.now();
    if (this.#speed === Number.POSITIVE_INFINITY) this.#dueMs = this.#speed;
    else if (!this.#paused) this.#dueMs += (now - this.#lastTick) * this.#speed;
    this.#lastTick = now;
  }

  #tick(): void {
    this.#catchUp();
    const until = performance.now() + SLICE_MS;
    while (this.#listener !== null && !this.#paused) {
      if (!this.#deliver(BATCH)) break;
      if (performance.now() > until) {
        // The machine can't keep up: let the time slip rather than pile it up.
        this.#dueMs = Math.min(this.#dueMs, this.#atMs + TICK_MS * this.#speed);
        break;
      }
    }
    this.#schedule();
  }

  /** Delivers what is due, at most so many. False where nothing was due, or all is done. */
  #deliver(most: number): boolean {
    const batch: Item[] = [];
    let done = false;
    while (batch.length < most) {
      const item = this.#next();
      if (item === null) {
        done = true;
        break;
      }
      if (!this.#isDue(item)) {
        this.#waiting = item;
        break;
      }
      batch.push(item);
    }
    const listener = this.#listener;
    if (batch.length > 0) listener?.records(batch);
    if (done && this.#listener !== null) this.#end();
    return batch.length > 0 && !done;
  }

  #next(): Item | null {
    const waiting = this.#waiting;
    this.#waiting = null;
    if (waiting !== null) return waiting;
    const next = this.#items.next();
    return next.done === true ? null : next.value;
  }

  #isDue(item: Item): boolean {
    if (item === 'unreadable') return true;
    if (item.ms - this.#atMs > MOST_PAUSE_MS) this.#dueMs = Math.max(this.#dueMs, item.ms);
    if (item.ms > this.#dueMs) return false;
    this.#atMs = Math.max(this.#atMs, item.ms);
    return true;
  }

  #end(): void {
    const listener = this.#listener;
    this.#listener = null;
    this.#unschedule();
    this.#release();
    listener?.ended();
  }
}
