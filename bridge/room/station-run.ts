import { statSync } from 'node:fs';
import { Broadcast } from '../session/broadcast.ts';
import type { RunSession } from '../session/run-session.ts';
import type { RoomLinkView, RoomMember } from '../session/session.ts';
import type { Said, Summary } from './messages.ts';
import type { Outbox } from './outbox.ts';
import { progressOf, summaryOf } from './run-summary.ts';

export interface StationRunWorld {
  outbox(path: string): Outbox;
  summary(path: string, summary: Summary): void;
  link(): Pick<RoomLinkView, 'room' | 'up' | 'trouble' | 'said'>;
}

/** How a run stands is told at most so often, and never for more than a tenth of the time. */
const SUMMARY_MS = 1000;
const REST = 9;

/** One run of a station. */
export class StationRun implements RoomMember {
  readonly #session: RunSession;
  readonly #world: StationRunWorld;
  readonly #changes = new Broadcast<void>();
  readonly #stops: (() => void)[];
  #outbox: Outbox;
  #timer: NodeJS.Timeout | null = null;
  #summaryMs = 0;
  #hasEnded = false;
  #calls = false;
  #said: string | null = null;
  /** The last progress, and the board time of it. */
  #progress = { text: '', atS: 0 };

  constructor(session: RunSession, world: StationRunWorld) {
    this.#session = session;
    this.#world = world;
    this.#outbox = world.outbox(this.path);
    this.#stops = [session.onChange(() => this.#later()), session.onReading(() => this.#later())];
  }

  get path(): string {
    return this.#session.recordingPath();
  }

  view(): RoomLinkView {
    const link = this.#world.link();
    const { keptBytes, copy } = this.#outbox.state;
    const behind = keptBytes === null ? null : Math.max(0, this.#bytes() - keptBytes);
    // What was said to this bench alone is the nearer.
    return { ...link, said: this.#said ?? link.said, behindBytes: behind, copy, calls: this.#calls };
  }

  call(on: boolean): void {
    this.#calls = on;
    this.#tell();
    this.#sum();
  }

  onChange(listener: () => void): () => void {
    return this.#changes.on(listener);
  }

  heardSaid(said: Said | null): void {
    this.#said = said?.text ?? null;
    if (said?.answers === true && this.#calls) this.#calls = false;
    this.#tell();
    this.#later();
  }

  /** The link, the room, or how much of the recording it has. */
  roomChanged(): void {
    this.#tell();
    this.#later();
  }

  /** Tells for the last time how the run stands: it ends with its program. */
  close(): void {
    for (const stop of this.#stops) stop();
    this.#hasEnded = true;
    this.#sum();
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
  }

  #tell(): void {
    this.#changes.tell();
  }

  #later(): void {
    if (this.#timer !== null) return;
    this.#timer = setTimeout(
      () => {
        this.#timer = null;
        this.#sum();
      },
      Math.max(SUMMARY_MS, REST * this.#summaryMs),
    ).unref();
  }

  #sum(): void {
    // A recording that another program cut short goes on in a new file.
    this.#outbox = this.#world.outbox(this.path);
    if (!this.#world.link().up) return;
    const began = performance.now();
    const view = this.#session.view();
    const progress = JSON.stringify([progressOf(view), view.nulls.length, view.labels.set.value]);
    if (progress !== this.#progress.text) this.#progress = { text: progress, atS: view.durationS };
    this.#world.summary(
      this.path,
      summaryOf(view, {
        bench: (view.bench?.name ?? this.#session.summary.title).slice(0, 200),
        quietS: Math.max(0, view.durationS - this.#progress.atS),
        ended: this.#hasEnded,
        calls: this.#calls,
        bytes: this.#bytes(),
      }),
    );
    this.#summaryMs = performance.now() - began;
  }

  #bytes(): number {
    return statSync(this.path, { throwIfNoEntry: false })?.size ?? 0;
  }
}
