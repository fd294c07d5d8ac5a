import type { Outcome } from '../calc-core/outcome.ts';
import { nextStep } from '../run/next-step.ts';
import type { LiveReading, NowView, RunWork } from '../run/view.ts';
import { KEPT_READINGS, type Session } from '../session/session.ts';
import { type Change, changesBetween } from '../session/view-patch.ts';
import type { SessionView, WithoutCalculation } from './page-protocol.ts';
import { ReadingRing } from './reading-ring.ts';

/** The view is looked at afresh at most this often, and never for more than a tenth of the time. */
const VIEW_INTERVAL_MS = 150;
const REST = 9;
/** Changes kept for pages that lag behind; one that lags further gets the whole view. */
const MOST_LOG_CHARACTERS = 100_000;

export interface FeedAudience {
  watching(): boolean;
  /** There is something that a page does not have yet. */
  news(): void;
}

/**
 * What is kept of a session for all who watch it: its newest readings, its view, and the last changes of that as JSON, made
 * once for all. A viewer remembers two numbers only.
 */
export class SessionFeed {
  readonly session: Session;
  readonly ring = new ReadingRing(KEPT_READINGS);
  readonly #unsubscribe: (() => void)[];
  readonly #audience: FeedAudience;
  #view: SessionView | null = null;
  #work: RunWork | null = null;
  /** The whole view as JSON at the revision, for those who come; made when it is asked for. */
  #whole = '';
  #log: { revision: number; json: string }[] = [];
  #logCharacters = 0;
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

  /** What a page last served at `revision` lacks, as a member of a JSON object; empty where it lacks nothing. 0: everything. */
  viewSince(revision: number): string {
    // While somebody watches, the timer looks; the first to come looks at once.
    if (this.#stale && this.#timer === null) this.#look();
    if (revision === this.#revision) return '';
    const oldest = this.#log[0]?.revision ?? Number.POSITIVE_INFINITY;
    if (revision === 0 || revision < oldest - 1) {
      if (this.#whole === '') this.#whole = JSON.stringify(this.#view);
      return `"view":${this.#whole}`;
    }
    const missed = this.#log.filter((entry) => entry.revision > revision);
    return `"changes":[${missed.map(({ json }) => json).join(',')}]`;
  }

  /** How the result was worked out, which grows with the run; null where there is none. */
  calculation(): Outcome | null {
    return this.#work?.outcome?.result ?? null;
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
    const before = this.#view;
    this.#view = this.#sessionView();
    if (before === null) this.#revision = 1;
    else this.#note(changesBetween(before, this.#view));
    this.#lookMs = performance.now() - began;
  }

  #note(changes: readonly Change[]): void {
    if (changes.length === 0) return;
    this.#revision += 1;
    this.#whole = '';
    const json = JSON.stringify(changes).slice(1, -1);
    this.#log.push({ revision: this.#revision, json });
    this.#logCharacters += json.length;
    while (this.#logCharacters > MOST_LOG_CHARACTERS && this.#log.length > 0)
      this.#logCharacters -= this.#log.shift()?.json.length ?? 0;
  }

  #sessionView(): SessionView {
    const view = this.session.view();
    const { now: _, work, ...rest } = view;
    this.#work = work;
    return {
      ...rest,
      work: withoutCalculation(work),
      next: nextStep(view),
      playback: this.session.playback(),
      recording: this.session.recording(),
      hand: this.session.hand?.()?.state ?? null,
    };
  }
}

/** Formula and budget of each result are left out: they grow with the run, and are asked for where they are looked at. */
function withoutCalculation(work: RunWork): WithoutCalculation<RunWork> {
  const { outcome } = work;
  const shown = { ...work, outcome: outcome && { ...outcome, result: bare(outcome.result) } };
  if (!('emf' in work)) return shown as WithoutCalculation<RunWork>;
  const { emf } = work;
  return { ...shown, emf: emf && { ...emf, result: bare(emf.result) } } as WithoutCalculation<RunWork>;
}

function bare(result: Outcome | null): WithoutCalculation<Outcome> | null {
  if (result === null) return null;
  const { formula: _formula, mathMl: _mathMl, constants: _constants, budget: _budget, ...rest } = result;
  return rest;
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
