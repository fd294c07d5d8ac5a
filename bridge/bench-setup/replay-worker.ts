import type { MessagePort } from 'node:worker_threads';
import type { LiveReading } from '../run/view.ts';
import type { MakeRun } from '../session/make-run.ts';
import { ReplaySession } from '../session/replay-session.ts';
import { thin } from '../session/thin.ts';
import { changesBetween } from '../session/view-patch.ts';
import type { ReplayBegun, ReplayJob, ReplayNews, ReplayState, ToReplay } from './background-jobs.ts';

/** At most so often are news told: a picture of a screen. */
const NEWS_MS = 16;
/** The view is looked at at most this often, and never for more than a tenth of the time. */
const LOOK_MS = 150;
const REST = 9;
/** Readings that go with one piece of news; more are thinned so that a plot of them looks the same. */
const MOST_READINGS = 500;

/** Plays a recording in a worker, and tells the thread that serves pages what there is to show. */
export async function playReplay(
  { path, speed }: ReplayJob,
  makeRun: MakeRun,
  port: MessagePort,
): Promise<void> {
  const session = new ReplaySession({ id: 'replay', path, speed, makeRun });
  const news = new NewsOfReplay(session, port);
  const fault = await session.start();
  if (fault === null) news.begin();
  else port.postMessage({ ok: false, fault } satisfies ReplayBegun);
}

/** Gathers what is new while the last news are under way: a thread that is busy gets fewer, never older ones. */
class NewsOfReplay {
  readonly #session: ReplaySession;
  readonly #port: MessagePort;
  #told: ReplayState | null = null;
  #readings: LiveReading[] = [];
  #anew = false;
  #ended = false;
  #stale = false;
  #underWay = false;
  #timer: NodeJS.Timeout | null = null;
  #lookAtMs = 0;

  constructor(session: ReplaySession, port: MessagePort) {
    this.#session = session;
    this.#port = port;
    session.onReading((reading) => this.#read(reading));
    session.onChange(() => this.#changed());
    session.onAnew(() => {
      this.#readings = [];
      this.#anew = true;
      this.#changed();
    });
    session.onEnded(() => {
      this.#ended = true;
      this.#changed();
    });
  }

  begin(): void {
    this.#told = this.#state();
    this.#port.postMessage({ ok: true, state: this.#told } satisfies ReplayBegun);
    this.#port.on('message', (message: ToReplay) => {
      if (message === 'taken') {
        this.#underWay = false;
        this.#arrange();
      } else this.#session.play(message.play);
    });
    this.#arrange();
  }

  #read(reading: LiveReading): void {
    this.#readings.push(reading);
    if (this.#readings.length > 2 * MOST_READINGS) this.#readings = thinned(this.#readings);
    this.#arrange();
  }

  #changed(): void {
    this.#stale = true;
    this.#arrange();
  }

  #arrange(): void {
    const something = this.#stale || this.#readings.length > 0;
    if (this.#told === null || this.#underWay || this.#timer !== null || !something) return;
    const wait = this.#readings.length > 0 ? NEWS_MS : Math.max(NEWS_MS, this.#restMs());
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#tell();
    }, wait);
  }

  #tell(): void {
    const news: ReplayNews = {
      anew: this.#anew,
      readings: this.#readings.length > MOST_READINGS ? thinned(this.#readings) : this.#readings,
      changes: this.#changes(),
      ended: this.#ended && !this.#stale,
    };
    this.#anew = false;
    this.#readings = [];
    if (news.ended) this.#ended = false;
    this.#underWay = true;
    this.#port.postMessage(news);
  }

  #changes(): ReplayNews['changes'] {
    const began = performance.now();
    if (!this.#stale || this.#told === null || this.#restMs() > 0) return [];
    const state = this.#state();
    const changes = changesBetween(this.#told, state);
    this.#told = state;
    this.#stale = false;
    const now = performance.now();
    this.#lookAtMs = now + Math.max(LOOK_MS, REST * (now - began));
    return changes;
  }

  /** Until the view may be looked at again; at the end nothing more will come, and nobody has to wait. */
  #restMs(): number {
    return this.#ended ? 0 : this.#lookAtMs - performance.now();
  }

  #state(): ReplayState {
    return { view: this.#session.view(), playback: this.#session.playback() };
  }
}

const thinned = (readings: LiveReading[]): LiveReading[] =>
  thin(readings.length, MOST_READINGS, (index) => readings[index].currentUa ?? Number.NaN).map(
    (index) => readings[index],
  );
