import type { Outcome } from '../calc-core/outcome.ts';
import { withoutResults } from '../run/hidden-results.ts';
import { type NextStep, nextStep } from '../run/next-step.ts';
import type { LiveReading, NowView, RunView, RunWork } from '../run/view.ts';
import { KEPT_READINGS, type Session } from '../session/session.ts';
import { type CrossingView, CrossingWatch } from './crossing-watch.ts';
import type { SessionView, WithoutCalculation } from './page-protocol.ts';
import type { RoomShows } from './page-request.ts';
import { ReadingRing } from './reading-ring.ts';
import { ViewLog } from './view-log.ts';

/** The view is looked at afresh at most this often, and never for more than a tenth of the time. */
const VIEW_INTERVAL_MS = 150;
const REST = 9;
/** Without a dear change for so long a run counts as at rest. */
const REST_MS = 60_000;

export interface FeedAudience {
  watching(): boolean;
  /** There is something that a page does not have yet. */
  news(): void;
}

/**
 * What is kept of a session for all who watch it: its newest readings, and its view with the last changes of it. A viewer remembers
 * numbers only.
 */
export class SessionFeed {
  readonly session: Session;
  readonly ring = new ReadingRing(KEPT_READINGS);
  readonly #unsubscribe: (() => void)[];
  readonly #audience: FeedAudience;
  readonly #log = new ViewLog();
  /** With the results that are hidden from others; null while none are, or no teacher looks on. */
  #teacherLog: ViewLog | null = null;
  /** When it was last looked at. */
  #resultsHidden = false;
  #now: NowView | null = null;
  #crossings = new CrossingWatch();
  #crossing: CrossingView | null = null;
  #room: RoomShows = 'by itself';
  #stale = true;
  /** Until the run counts as at rest. */
  #rest: NodeJS.Timeout | null = null;
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

  /**
   * The view for a page, up to date.
   * @param isTeacher results are shown to it, hidden or not
   */
  log(isTeacher: boolean): ViewLog {
    // While somebody watches, the timer looks; the first to come looks at once.
    if (this.#stale && this.#timer === null) this.#look();
    if (!isTeacher || !this.#resultsHidden) return this.#log;
    if (this.#teacherLog === null) {
      this.#teacherLog = new ViewLog();
      this.#look();
    }
    return this.#teacherLog;
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
    const view = this.session.view();
    this.#resultsHidden = view.resultsHidden;
    if (!view.resultsHidden) this.#teacherLog = null;
    const shown = withoutResults(view);
    const next = nextStep({ ...view, findings: shown.findings });
    const isExact = this.#log.take(this.#sessionView(shown, next), shown.work);
    const teacherExact = this.#teacherLog?.take(this.#sessionView(view, nextStep(view)), view.work) ?? true;
    if (!isExact || !teacherExact) this.#waitForRest();
    this.#lookMs = performance.now() - began;
  }

  #waitForRest(): void {
    if (this.#rest !== null) clearTimeout(this.#rest);
    this.#rest = setTimeout(() => {
      this.#rest = null;
      const { nulls } = this.session.view();
      this.#log.rest(nulls);
      this.#teacherLog?.rest(nulls);
      this.#changed();
    }, REST_MS);
  }

  #sessionView({ now: _, work, ...rest }: RunView, next: NextStep): SessionView {
    return {
      ...rest,
      work: withoutCalculation(work),
      next,
      playback: this.session.playback(),
      speed: this.session.speed?.() ?? null,
      recording: this.session.recording(),
      hand: this.session.hand?.()?.state ?? null,
      inRoom: this.session.room?.()?.view() ?? null,
    };
  }
}

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
