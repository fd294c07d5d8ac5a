import type { Outcome } from '../calc-core/outcome.ts';
import { nextStep } from '../run/next-step.ts';
import type { LiveReading, NowView, NullView, RunWork } from '../run/view.ts';
import { KEPT_READINGS, type Session } from '../session/session.ts';
import { type Change, changesBetween } from '../session/view-patch.ts';
import { type CrossingView, CrossingWatch } from './crossing-watch.ts';
import { keepingClose, keepingDigits } from './keeping-told.ts';
import type { SessionView, WithoutCalculation } from './page-protocol.ts';
import type { RoomShows } from './page-request.ts';
import { ReadingRing } from './reading-ring.ts';

/** The view is looked at afresh at most this often, and never for more than a tenth of the time. */
const VIEW_INTERVAL_MS = 150;
const REST = 9;
/** What one change may cost a page while nulls follow each other, and when they do no longer. */
const MOST_CHARACTERS = 4000;
const REST_MS = 60_000;
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
  #crossings = new CrossingWatch();
  #crossing: CrossingView | null = null;
  #room: RoomShows = 'by itself';
  #stale = true;
  /** Until the run counts as at rest, and its nulls when it did. */
  #rest: NodeJS.Timeout | null = null;
  #restingNulls: readonly NullView[] | null = null;
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
        this.#crossings = new CrossingWatch();
        this.#crossing = null;
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

  /** The newest; null before the first. */
  get crossing(): CrossingView | null {
    return this.#crossing;
  }

  get room(): RoomShows {
    return this.#room;
  }

  showRoom(shows: RoomShows): void {
    this.#room = shows;
    this.#audience.news();
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
    if (this.#rest !== null) clearTimeout(this.#rest);
  }

  #read(reading: LiveReading): void {
    this.ring.push(reading);
    this.#now = nowOf(reading);
    this.#crossing = this.#crossings.add(reading) ?? this.#crossing;
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
    const now = this.#sessionView();
    if (before === null) {
      this.#revision = 1;
      this.#view = now;
    } else this.#tell(before, now);
    this.#lookMs = performance.now() - began;
  }

  /** To the digit; where so much has moved a little that it costs too much, to a tenth of its uncertainty until the run is at rest. */
  #tell(before: SessionView, now: SessionView): void {
    const exact = keepingDigits(before, now);
    const json = jsonOf(changesBetween(before, exact));
    const isDear = json.length > MOST_CHARACTERS && now.nulls !== this.#restingNulls;
    if (!isDear) {
      this.#view = exact;
      this.#note(json);
      return;
    }
    this.#view = keepingClose(before, now);
    this.#note(jsonOf(changesBetween(before, this.#view)));
    if (this.#rest !== null) clearTimeout(this.#rest);
    this.#rest = setTimeout(() => {
      this.#rest = null;
      this.#restingNulls = this.session.view().nulls;
      this.#changed();
    }, REST_MS);
  }

  #note(json: string): void {
    if (json === '') return;
    this.#revision += 1;
    this.#whole = '';
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
      speed: this.session.speed?.() ?? null,
      recording: this.session.recording(),
      hand: this.session.hand?.()?.state ?? null,
      inRoom: this.session.room?.()?.view() ?? null,
    };
  }
}

/** Changes as members of a JSON array. */
const jsonOf = (changes: readonly Change[]): string => JSON.stringify(changes).slice(1, -1);

/** What grows with the run and is looked at on one tab only, or is told elsewhere in the view, is left out. */
function withoutCalculation(work: RunWork): WithoutCalculation<RunWork> {
  const shown = { ...work, outcome: bareOutcome(work.outcome) };
  return ('emf' in work ? { ...shown, emf: bareOutcome(work.emf) } : shown) as WithoutCalculation<RunWork>;
}

function bareOutcome(outcome: RunWork['outcome']): WithoutCalculation<RunWork['outcome']> {
  if (outcome === null) return null;
  const { byTheBook, result, endCorrectionCm, check } = outcome;
  return { byTheBook, result: bare(result), endCorrectionCm, check };
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
