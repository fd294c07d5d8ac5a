import { basename, join, resolve } from 'node:path';
import type { Readable } from 'node:stream';
import pLimit from 'p-limit';
import { fitCalibration, frontEndScale, galvanometerScale } from '../bench/calibrate.ts';
import type { Plan } from '../calc-core/plan.ts';
import { RecentlyUsed } from '../calc-core/recently-used.ts';
import { message } from '../messages/catalogue.ts';
import type { RunEvent } from '../run/events.ts';
import { describePort, listPorts } from '../serial/list-ports.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { MakeRun } from '../session/make-run.ts';
import {
  makeFolderFor,
  openingEvents,
  RESULTS_HIDDEN,
  recordingName,
  utcSeconds,
} from '../session/new-recording.ts';
import { openSession, type SessionPlan } from '../session/open-session.ts';
import type { RunSession } from '../session/run-session.ts';
import { SET_UP, type SessionRegistry } from '../session/session-registry.ts';
import type { Background } from './background.ts';
import type {
  ClassKind,
  Done,
  ExportKind,
  OneAnswerJob,
  RecordingSummary,
  WholeView,
} from './background-jobs.ts';
import { BackgroundReplay } from './background-replay.ts';
import { historyOf, listBenches, loadBench, saveBench } from './bench-store.ts';
import { CountsWatches, type Port } from './counts-watches.ts';
import { isRecordingName, keepDropped, listRecordings } from './recording-store.ts';
import { type Asked, granted, type Routed } from './routes.ts';
import { stateOf } from './state-of.ts';

export interface BenchSetupOptions {
  sessions: SessionRegistry;
  makeRun: MakeRun;
  recordingsFolder: string;
  benchesFolder: string;
  background: Background;
  /** Told of each run that is begun here, or taken up again. */
  onBegun?: (session: RunSession) => void;
  /** Runs begin with their results hidden from all but a teacher. */
  hideResults?: boolean;
}

/** A hold lasts for so many samples: half a second at 200 a second. */
const HOLD_SAMPLES = 100;
const HOLD_MS = 5000;
const REPLAY_SPEED = 10;
/** Beside one run and its page, two processors do no more without holding up samples. */
const JOBS_AT_ONCE = 2;
const MOST_WAITING = 8;
const MOST_SUMMARIES = 2000;
/** Each has a thread of its own. */
const MOST_REPLAYS = 8;

/** Files are named after their recording, as the command line names them: those of two runs must not be mixed up. */
const EXPORTS: Record<ExportKind, { type: string; suffix: string }> = {
  page: { type: 'text/html', suffix: '.html' },
  short: { type: 'text/html', suffix: '-short.html' },
  sheet: { type: 'text/html', suffix: '-sheet.html' },
  json: { type: 'application/json', suffix: '.json' },
  sets: { type: 'text/csv', suffix: '-sets.csv' },
  nulls: { type: 'text/csv', suffix: '-nulls.csv' },
};

const CLASS_FILES: Record<ClassKind, { type: string; name: string }> = {
  print: { type: 'text/html', name: 'class.html' },
  csv: { type: 'text/csv', name: 'class.csv' },
  json: { type: 'application/json', name: 'class.json' },
};

/** What a page may see of a recording. */
const summaryFor = (isTeacher: boolean, summary: RecordingSummary): RecordingSummary =>
  summary.resultsHidden && !isTeacher ? { ...summary, result: null } : summary;

/** Set-up and recordings of one bridge: what the page asks for beside the runs themselves, a method for each route. */
export class BenchSetup implements Routed {
  readonly counts: CountsWatches;
  readonly #options: BenchSetupOptions;
  /** Runs that were begun here, and may be ended here. */
  readonly #begun = new Map<string, RunSession>();
  readonly #replays = new Map<string, BackgroundReplay>();
  readonly #jobs = pLimit(JOBS_AT_ONCE);
  readonly #ending = new AbortController();
  /** By file, its length and when it was written: a list of recordings is looked at again and again. */
  readonly #summaries = new RecentlyUsed<RecordingSummary>(MOST_SUMMARIES);
  #replaysBegun = 0;

  constructor(options: BenchSetupOptions) {
    this.#options = options;
    this.counts = new CountsWatches(options.sessions);
  }

  async ports() {
    const ports = await listPorts();
    return granted({ ports: ports.map((port) => ({ path: port.path, about: describePort(port) })) });
  }

  listen(port: Asked<'listen'>) {
    return this.counts.openPort(port);
  }

  async hold({ from }: Asked<'hold'>) {
    const letGo = this.counts.follow(from);
    const held = await this.counts.watch(from)?.hold(HOLD_SAMPLES, HOLD_MS);
    letGo();
    return held == null ? refused('no-samples-held') : granted({ held });
  }

  fit({ points }: Asked<'fit'>) {
    return granted({ fit: fitCalibration(points) });
  }

  scale(asked: Asked<'scale'>) {
    const microampsPerCount =
      'knownUa' in asked
        ? galvanometerScale(asked.zeroCounts, asked.counts, asked.knownUa)
        : frontEndScale(asked.spanV, asked.counts, asked.gain, asked.shuntOhm);
    return granted({ microampsPerCount });
  }

  benches() {
    return granted({ benches: listBenches(this.#options.benchesFolder) });
  }

  bench({ file }: Asked<'bench'>) {
    const loaded = loadBench(this.#options.benchesFolder, file);
    return loaded.ok ? { ...loaded, history: historyOf(this.#options.benchesFolder, file) } : loaded;
  }

  save({ file, bench, run }: Asked<'save'>) {
    const saved = saveBench(this.#options.benchesFolder, file, bench);
    if (!saved.ok) return saved;
    const session = run === null ? undefined : this.#options.sessions.get(run);
    const recorded = session?.recordEvent({ kind: 'bench', bench } as RunEvent) ?? saved;
    return recorded.ok ? granted({ saved: file, kept: saved.kept }) : recorded;
  }

  async plan(asked: Asked<'plan'>) {
    const done = await this.#inTurn<Plan>({ kind: 'plan', asked });
    return done.ok ? granted({ plan: done.value }) : done;
  }

  async start(asked: Asked<'start'>) {
    const loaded = loadBench(this.#options.benchesFolder, asked.file);
    if (!loaded.ok) return loaded;
    const { bench } = loaded;
    const now = new Date();
    const title = typeof bench.name === 'string' ? bench.name : asked.file;
    const path = join(this.#options.recordingsFolder, recordingName(title, now));
    const obstacle = makeFolderFor(path);
    if (obstacle !== null) return { ok: false, ...obstacle } as const;
    return this.#begin(asked, {
      title,
      path,
      begin: 'create-beside',
      opening: openingEvents({ ...asked, bench, hideResults: this.#options.hideResults ?? false }, now),
    });
  }

  async resume({ file, ...port }: Asked<'resume'>) {
    const path = this.#pathOf(file);
    if (path === null) return refused('no-recording-named');
    const { sessions } = this.#options;
    const written = sessions.list().some(({ id, kind }) => {
      return kind !== 'replay' && sessions.get(id)?.recordingPath?.() === path;
    });
    if (written) return { ok: false, ...message('recording-of-run', { file }) } as const;
    const opening: RunEvent[] = [
      { kind: 'resumed', utc: utcSeconds(new Date()) },
      ...(this.#options.hideResults === true ? [RESULTS_HIDDEN] : []),
    ];
    return this.#begin(port, { title: file, path, begin: 'resume', opening });
  }

  /** A live run at a port, which is handed over from set-up; the run is named after its recording, so that a page finds it again. */
  #begin({ port, baud }: Port, plan: Pick<SessionPlan, 'title' | 'path' | 'begin' | 'opening'>) {
    return this.counts.withoutPort(async () => {
      const other = this.counts.runAt(port);
      if (other !== null)
        return { ok: false, ...message('port-of-run', { path: port, run: other.summary.title }) } as const;
      const source = new SerialSource({ path: port, baudRate: baud, rateHz: null });
      const { makeRun } = this.#options;
      const opened = await openSession({ ...plan, id: null, kind: 'live', source, makeRun });
      if (!opened.ok) return opened;
      const { id } = opened.session.summary;
      this.#begun.set(id, opened.session);
      this.#options.sessions.add(opened.session);
      this.#options.onBegun?.(opened.session);
      return granted({ session: id });
    });
  }

  recordings() {
    const folder = this.#options.recordingsFolder;
    return granted({ recordings: listRecordings(folder), folder: resolve(folder) });
  }

  async summary({ file }: Asked<'summary'>, isTeacher: boolean) {
    const path = this.#pathOf(file);
    if (path === null) return refused('no-recording-named');
    const state = stateOf(path);
    const key = `${file} ${state?.size} ${state?.mtimeMs}`;
    const known = this.#summaries.known(key);
    if (known !== undefined) return granted({ summary: summaryFor(isTeacher, known) });
    const done = await this.#inTurn<RecordingSummary>({ kind: 'summary', path });
    if (!done.ok) return done;
    this.#summaries.keep(key, done.value);
    return granted({ summary: summaryFor(isTeacher, done.value) });
  }

  async class({ files, as, language }: Asked<'class'>, isTeacher: boolean) {
    const paths = files.map((file) => this.#pathOf(file));
    if (!paths.every((path) => path !== null)) return refused('no-recording-named');
    const done = await this.#inTurn<string>({ kind: 'class', paths, as, language, isTeacher });
    return done.ok ? granted({ text: done.value, ...CLASS_FILES[as] }) : done;
  }

  async replay({ file }: Asked<'replay'>) {
    const path = this.#pathOf(file);
    if (path === null) return refused('no-recording-named');
    if (this.#replays.size >= MOST_REPLAYS)
      return { ok: false, ...message('replays-many', { most: String(MOST_REPLAYS) }) } as const;
    this.#replaysBegun += 1;
    const id = `replay-${this.#replaysBegun}`;
    const { background, sessions } = this.#options;
    const opened = await BackgroundReplay.open({ id, path, speed: REPLAY_SPEED, background });
    if (!opened.ok) return opened;
    this.#replays.set(id, opened.session);
    sessions.add(opened.session);
    return granted({ session: id });
  }

  async drop(name: string, bytes: Readable) {
    return keepDropped(this.#options.recordingsFolder, name, bytes);
  }

  async whole({ file }: Asked<'whole'>, isTeacher: boolean) {
    const path = this.#pathOf(file);
    if (path === null) return refused('no-recording-named');
    const done = await this.#inTurn<WholeView>({ kind: 'whole', path, isTeacher });
    return done.ok ? granted({ view: done.value }) : done;
  }

  async export({ session, as, language }: Asked<'export'>, isTeacher: boolean) {
    const path = this.#options.sessions.get(session)?.recordingPath?.();
    if (path === undefined) return refused('no-recording-named');
    const done = await this.#inTurn<string>({ kind: 'export', path, as, language, isTeacher });
    const { type, suffix } = EXPORTS[as];
    return done.ok ? granted({ text: done.value, type, name: `${basename(path, '.rec')}${suffix}` }) : done;
  }

  /** Jobs wait for their turn; where too many wait already one is refused. */
  async #inTurn<Value>(job: OneAnswerJob): Promise<Done<Value>> {
    if (this.#jobs.pendingCount >= MOST_WAITING) return refused('too-busy');
    return this.#jobs(() => this.#options.background.do<Value>(job, this.#ending.signal));
  }

  /** Ends a replay, a run that was begun here, or listening for set-up. */
  async end({ session: id }: Asked<'end'>) {
    if (id === SET_UP) {
      await this.counts.closePort();
      return granted({});
    }
    const session = this.#options.sessions.get(id);
    if (session === undefined) return refused('run-gone');
    const ours = this.#replays.get(id) ?? this.#begun.get(id);
    if (ours === undefined) return refused('run-begun-elsewhere');
    this.#options.sessions.remove(id);
    this.#replays.delete(id);
    this.#begun.delete(id);
    await ours.close();
    return granted({});
  }

  /** Ends what was opened for set-up. Runs and replays are the registry's. */
  async close(): Promise<void> {
    this.#ending.abort();
    await this.counts.close();
  }

  #pathOf(file: string): string | null {
    return isRecordingName(file) ? join(this.#options.recordingsFolder, file) : null;
  }
}

type Refusal = 'no-samples-held' | 'too-busy' | 'no-recording-named' | 'run-gone' | 'run-begun-elsewhere';

const refused = (key: Refusal) => ({ ok: false, ...message(key) }) as const;
