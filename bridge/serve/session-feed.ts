import { nextStep } from '../run/next-step.ts';
import type { LiveReading, NowView } from '../run/view.ts';
import { KEPT_READINGS, type Session } from '../session/session.ts';
import { NullsFeed } from './nulls-feed.ts';
import type { SessionView } from './page-protocol.ts';
import { ReadingRing } from './reading-ring.ts';

/** The view is looked at afresh at most this often, and never for more than a tenth of the time. */
const VIEW_INTERVAL_MS = 150;
const REST = 9;

export interface FeedAudience {
  watching(): boolean;
  /** There is something that a page does not have yet. */
  news(): void;
}

interface Part {
  /** What it was made from: the very same value needs no second look. */
  value: unknown;
  json: string;
  /** Revision of the feed at which it last changed. */
  revision: number;
}

/**
 * What is kept of a session for all who watch it: its newest readings, and each part of its view as JSON with the
 * revision at which it changed. A viewer remembers two numbers only.
 */
export class SessionFeed {
  readonly session: Session;
  readonly ring = new ReadingRing(KEPT_READINGS);
  readonly #parts = new Map<string, Part>();
  readonly #nulls = new NullsFeed();
  readonly #unsubscribe: (() => void)[];
  readonly #audience: FeedAudience;
  #revision = 0;
  #now: NowView | null = null;
  #stale = true;
  /** How long the last look took. */
  #lookMs = 0;
  #timer: NodeJS.Timeout | null = null;

  constructor(session: Session, audience: FeedAudience) {
    this.session = session;
    this.#audience = audience;
    this.#unsubscribe = [
      session.onReading((reading) => this.#read(reading)),
      session.onChange(() => this.#changed()),
      session.onAnew(() => {
        this.ring.clear();
        this.#now = null;
        this.#changed();
      }),
    ];
  }

  get revision(): number {
    return this.#revision;
  }

  get now(): NowView | null {
    return this.#now;
  }

  /** The parts that changed after `revision`, as the inside of a JSON object; empty where none did. */
  partsSince(revision: number): string {
    // While somebody watches, the timer looks; the first to come looks at once.
    if (this.#stale && this.#timer === null) this.#look();
    const changed = [...this.#parts].filter(([, part]) => part.revision > revision);
    const members = changed.map(([name, part]) => `"${name}":${part.json}`);
    const nulls = this.#nulls.since(revision);
    return (nulls === '' ? members : [...members, `"nulls":${nulls}`]).join(',');
  }

  close(): void {
    for (const stop of this.#unsubscribe) stop();
    if (this.#timer !== null) clearTimeout(this.#timer);
  }

  #read(reading: LiveReading): void {
    this.ring.push(reading);
    this.#now = nowOf(reading);
    this.#changed();
    this.#audience.news();
  }

  /** While nobody watches, nothing is looked at: a run through the night costs only its readings. */
  #changed(): void {
    this.#stale = true;
    if (this.#timer !== null || !this.#audience.watching()) return;
    this.#timer = setTimeout(
      () => {
        this.#timer = null;
        this.#look();
        this.#audience.news();
      },
      Math.max(VIEW_INTERVAL_MS, REST * this.#lookMs),
    );
  }

  #look(): void {
    const began = performance.now();
    this.#stale = false;
    const next = this.#revision + 1;
    const { nulls, ...parts } = this.#view();
    if (this.#nulls.look(nulls, next)) this.#revision = next;
    for (const [name, value] of Object.entries(parts)) {
      const before = this.#parts.get(name);
      if (before?.value === value) continue;
      const json = JSON.stringify(value);
      const revision = before?.json === json ? before.revision : next;
      this.#parts.set(name, { value, json, revision });
      if (revision === next) this.#revision = next;
    }
    this.#lookMs = performance.now() - began;
  }

  #view(): SessionView {
    const view = this.session.view();
    const { now: _, ...rest } = view;
    return {
      ...rest,
      next: nextStep(view),
      playback: this.session.playback(),
      recording: this.session.recording(),
      hand: this.session.hand?.()?.state ?? null,
    };
  }
}

const nowOf = (reading: LiveReading): NowView => ({
  atS: reading.atS,
  contact: reading.contact,
  scaleCm: reading.scaleCm,
  lengthCm: reading.lengthCm,
  currentUa: reading.currentUa,
  saturated: reading.saturated,
  driverMa: reading.driverMa,
});
