import { join } from 'node:path';
import type { Readable } from 'node:stream';
import pLimit, { type LimitFunction } from 'p-limit';
import { describeFaults, readBench } from '../bench/bench-file.ts';
import {
  type CalibrationPoint,
  fitCalibration,
  frontEndScale,
  galvanometerScale,
} from '../bench/calibrate.ts';
import { loadFormulas } from '../calc-core/formulas.ts';
import type { Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { RunEvent } from '../run/events.ts';
import { describePort, listPorts } from '../serial/list-ports.ts';
import type { ExportKind } from '../serve/page-protocol.ts';
import type { ResumeOrder, ScaleOrder, ServedBenchSetup, StartOrder } from '../serve/served-bench-setup.ts';
import type { SessionRegistry } from '../serve/session-registry.ts';
import { foldRecording } from '../session/fold-recording.ts';
import type { MakeFold } from '../session/make-fold.ts';
import { ReplaySession } from '../session/replay-session.ts';
import type { RunSession } from '../session/run-session.ts';
import { historyOf, listBenches, loadBench, saveBench } from './bench-store.ts';
import { CountsWatches, SET_UP } from './counts-watches.ts';
import { exportRun, type MakeReport } from './export-run.ts';
import { type PlanWishes, planBench } from './plan-bench.ts';
import { isRecordingName, keepDropped, listRecordings } from './recording-store.ts';

export interface BenchSetupOptions {
  sessions: SessionRegistry;
  makeFold: MakeFold;
  recordingsFolder: string;
  benchesFolder: string;
  makeReport: MakeReport;
  /** Starts a run on a serial port, with its recording; the caller has the serial port and the clock. */
  startRun: (order: StartOrder & { bench: Record<string, unknown> }) => Promise<StartedRun>;
  /** Goes on in a recording at `path`. */
  resumeRun: (order: ResumeOrder & { path: string }) => Promise<StartedRun>;
}

export type StartedRun = { ok: true; session: RunSession } | Refused;

/** A hold lasts for so many samples: half a second at 200 a second. */
const HOLD_SAMPLES = 100;
const HOLD_MS = 5000;
const REPLAY_SPEED = 10;
/** Beside one run and its page, two processors do no more without holding up samples. */
const RECORDS_AT_ONCE = 2;
const WHOLES_AT_ONCE = 1;
const MOST_WAITING = 8;

/** Set-up and recordings of one bridge: what the page asks for beside the runs themselves. */
export class BenchSetup implements ServedBenchSetup {
  readonly #options: BenchSetupOptions;
  readonly #watches: CountsWatches;
  /** Runs that were begun here, and may be ended here. */
  readonly #begun = new Map<string, RunSession>();
  readonly #records = pLimit(RECORDS_AT_ONCE);
  readonly #wholes = pLimit(WHOLES_AT_ONCE);
  readonly #ending = new AbortController();
  #replays = 0;

  constructor(options: BenchSetupOptions) {
    this.#options = options;
    this.#watches = new CountsWatches(options.sessions);
  }

  async ports() {
    const ports = await listPorts();
    return {
      ok: true,
      ports: ports.map((port) => ({ path: port.path, about: describePort(port) })),
    } as const;
  }

  listen(port: string, baud: number) {
    return this.#watches.openPort({ port, baud });
  }

  counts(from: string) {
    const found = this.#watches.of(from);
    return found === null
      ? NO_SOURCE
      : ({ ok: true, counts: found.watch.counts(), link: found.link() } as const);
  }

  async hold(from: string) {
    const held = await this.#watches.of(from)?.watch.hold(HOLD_SAMPLES, HOLD_MS);
    return held == null ? NO_SAMPLES : ({ ok: true, held } as const);
  }

  fit(points: CalibrationPoint[]) {
    return { ok: true, fit: fitCalibration(points) } as const;
  }

  scale(order: ScaleOrder) {
    const microampsPerCount =
      'knownUa' in order
        ? galvanometerScale(order.zeroCounts, order.counts, order.knownUa)
        : frontEndScale(order.spanV, order.counts, order.gain, order.shuntOhm);
    return { ok: true, microampsPerCount } as const;
  }

  benches() {
    return { ok: true, benches: listBenches(this.#options.benchesFolder) } as const;
  }

  bench(file: string) {
    const loaded = loadBench(this.#options.benchesFolder, file);
    return loaded.ok ? { ...loaded, history: historyOf(this.#options.benchesFolder, file) } : loaded;
  }

  saveBench(file: string, bench: unknown, run: string | null) {
    const saved = saveBench(this.#options.benchesFolder, file, bench);
    if (!saved.ok) return saved;
    const session = run === null ? undefined : this.#options.sessions.get(run);
    if (session === undefined) return { ok: true, saved: file } as const;
    const said = session.recordEvent({ kind: 'bench', bench } as RunEvent);
    return said.ok ? ({ ok: true, saved: file } as const) : said;
  }

  async plan(bench: unknown, wishes: PlanWishes) {
    const reading = readBench(bench);
    if (!reading.ok) return { ok: false, ...describeFaults(reading.faults) } as const;
    return planBench(reading.bench, wishes, await loadFormulas());
  }

  async start(order: StartOrder) {
    const loaded = loadBench(this.#options.benchesFolder, order.file);
    if (!loaded.ok) return loaded;
    return this.#begin(order.port, () => this.#options.startRun({ ...order, bench: loaded.bench }));
  }

  async resume(order: ResumeOrder) {
    const path = this.#pathOf(order.file);
    if (path === null) return NO_RECORDING;
    const { sessions } = this.#options;
    const written = sessions.list().some(({ id, kind }) => {
      return kind !== 'replay' && sessions.get(id)?.recordingPath?.() === path;
    });
    if (written) return { ok: false, ...message('recording-of-run', { file: order.file }) } as const;
    return this.#begin(order.port, () => this.#options.resumeRun({ ...order, path }));
  }

  /** The port is handed over from set-up to the run; back again where the run can't begin. */
  async #begin(port: string, begin: () => Promise<StartedRun>) {
    const other = this.#watches.runAt(port);
    if (other !== null)
      return { ok: false, ...message('port-of-run', { path: port, run: other.summary.title }) } as const;
    const open = await this.#watches.closePort();
    const started = await begin();
    if (!started.ok) {
      if (open !== null) await this.#watches.openPort(open);
      return started;
    }
    const { session } = started;
    this.#begun.set(session.summary.id, session);
    this.#options.sessions.add(session);
    return { ok: true, session: session.summary.id } as const;
  }

  recordings() {
    return { ok: true, recordings: listRecordings(this.#options.recordingsFolder) } as const;
  }

  async replay(file: string) {
    const path = this.#pathOf(file);
    if (path === null) return NO_RECORDING;
    this.#replays += 1;
    const session = new ReplaySession({
      id: `replay-${this.#replays}`,
      path,
      speed: REPLAY_SPEED,
      makeFold: this.#options.makeFold,
    });
    const fault = await session.start();
    if (fault !== null) return { ok: false, ...fault } as const;
    this.#options.sessions.add(session);
    return { ok: true, session: session.summary.id } as const;
  }

  drop(name: string, bytes: Readable) {
    return keepDropped(this.#options.recordingsFolder, name, bytes);
  }

  async whole(file: string) {
    const path = this.#pathOf(file);
    if (path === null) return NO_RECORDING;
    return inTurn(this.#wholes, async () => {
      const folded = await foldRecording(path, this.#options.makeFold);
      return folded.ok
        ? ({ ok: true, view: folded.fold.view() } as const)
        : ({ ok: false, ...folded.fault } as const);
    });
  }

  async exportRun(id: string, kind: ExportKind) {
    const path = this.#options.sessions.get(id)?.recordingPath?.();
    if (path === undefined) return NO_RECORDING;
    const { makeFold, makeReport } = this.#options;
    return inTurn(this.#records, () => exportRun(path, kind, makeFold, makeReport, this.#ending.signal));
  }

  /** Ends a replay, a run that was begun here, or listening for set-up. */
  async end(id: string) {
    if (id === SET_UP) {
      await this.#watches.closePort();
      return { ok: true } as const;
    }
    const session = this.#options.sessions.get(id);
    if (session === undefined) return { ok: false, ...message('run-gone') } as const;
    const ours = session instanceof ReplaySession ? session : this.#begun.get(id);
    if (ours === undefined) return { ok: false, ...message('run-begun-elsewhere') } as const;
    this.#options.sessions.remove(id);
    this.#begun.delete(id);
    await ours.close();
    return { ok: true } as const;
  }

  /** Ends what the desk itself has opened for set-up. Runs and replays are the registry's. */
  async close(): Promise<void> {
    this.#ending.abort();
    await this.#watches.close();
  }

  #pathOf(file: string): string | null {
    return isRecordingName(file) ? join(this.#options.recordingsFolder, file) : null;
  }
}

/** Work waits for its turn; where too much waits already it is refused. */
const inTurn = async <Done>(limit: LimitFunction, work: () => Promise<Done>) =>
  limit.pendingCount >= MOST_WAITING ? TOO_BUSY : limit(work);

const NO_SOURCE = { ok: false, ...message('no-counts') } as const;
const NO_SAMPLES = { ok: false, ...message('no-samples-held') } as const;
const TOO_BUSY = { ok: false, ...message('too-busy') } as const;
const NO_RECORDING = { ok: false, ...message('no-recording-named') } as const;
