import { basename } from 'node:path';
import { message } from '../messages/catalogue.ts';
import type { RecordLine } from '../recording/record.ts';
import { recordedMs } from '../recording/record.ts';
import { splitRecords } from '../recording/split.ts';
import type { RecordingOwner, RecordingWriter } from '../recording/write.ts';
import type { RunEvent } from '../run/events.ts';
import type { Run } from '../run/run.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import type { LineSource, LinkStatus, SourceFault } from '../serial/line-source.ts';
import { answerTo } from './answer-to.ts';
import { Broadcast } from './broadcast.ts';
import { eventsInForce } from './events-in-force.ts';
import { inSlices } from './in-slices.ts';
import type { MakeRun } from './make-run.ts';
import { PacedSource } from './paced-source.ts';
import type {
  Answer,
  BenchHand,
  PlaybackCommand,
  PlaybackView,
  RecordingState,
  RoomMember,
  Session,
  SessionKind,
  SessionSummary,
} from './session.ts';
import { KEPT_READINGS } from './session.ts';
import { SessionEvents } from './session-events.ts';

export interface RunSessionOptions {
  id: string;
  title: string;
  kind: SessionKind;
  source: LineSource;
  /** Opens what the run is written to; the session tells how a recording goes on that another program cut short. */
  recording: (owner: RecordingOwner) => RecordingWriter;
  /** Host milliseconds since the recording began. */
  clock: () => number;
  /** What the recording says before the first line: whose run, which bench; or that it was taken up again. */
  opening: RunEvent[];
  /** With what the recording holds of an earlier part of it. */
  run: Run;
  makeRun: MakeRun;
  /** The hand of a simulated bench that is worked from the page. */
  hand?: BenchHand;
}

/**
 * One bench's live run: its source, its recording and who listens. Each record is appended to the file first and taken into
 * the run then, so that what is shown is a function of the recording alone.
 */
export class RunSession extends SessionEvents implements Session {
  readonly summary: SessionSummary;
  readonly #options: RunSessionOptions;
  readonly #recording: RecordingWriter;
  readonly #linked = new Broadcast<LinkStatus>();
  readonly #heard = new Broadcast<string>();
  /** The newest lines by which the board introduced itself. */
  readonly #introduction = new Map<string, string>();
  #link: LinkStatus = { up: null, port: null, ...message('link-not-started') };
  #run: Run;
  #room: RoomMember | null = null;
  #begun = false;
  #hasEnded = false;
  /** How many files the recording has gone on in. */
  #files = 0;
  #lastMs = 0;

  constructor(options: RunSessionOptions) {
    super();
    this.#options = options;
    this.#run = options.run;
    this.summary = { id: options.id, title: options.title, kind: options.kind };
    this.#recording = options.recording({
      stateChanged: () => this.changed.tell(),
      openingAnew: (cutPath, latestMs) => this.#openingAnew(cutPath, latestMs),
      // What is being appended now is in the file already.
      wentOn: () => void setImmediate(() => this.#beginAnew()),
    });
  }

  /** Resolves to null once the source delivers, or to what stood in the way. */
  async start(): Promise<SourceFault | null> {
    const fault = await this.#options.source.start({
      lines: (lines) => this.#receive(() => lines.map((line) => this.#stamp('<', line))),
      sent: (line) => this.#receive(() => [this.#stamp('>', line)]),
      records: (records) => this.#receive(() => records.filter((record) => record !== 'unreadable')),
      link: (status) => this.#noteLink(status),
      ended: () => {
        this.#hasEnded = true;
        this.#run.end();
        this.changed.tell();
        this.ended.tell();
      },
    });
    if (fault === null) this.#begin();
    return fault;
  }

  /** Written once the source delivers and not before: a recording taken up again in vain stays as it was. */
  #begin(): void {
    if (this.#begun) return;
    this.#begun = true;
    this.#take(this.#options.opening.map((event) => this.#event(event)));
  }

  /** Records from the source, which may come before `start` is done; stamped after what the recording begins with. */
  #receive(records: () => RecordLine[]): void {
    this.#begin();
    this.#take(records());
  }

  view(): RunView {
    return this.#run.view();
  }

  link(): LinkStatus {
    return this.#link;
  }

  recordEvent(event: RunEvent): Answer {
    const answer = answerTo(event, this.view());
    if (answer.ok) this.#take([this.#event(event)]);
    return answer;
  }

  recording(): RecordingState {
    const { path, trouble } = this.#recording.state;
    return { file: basename(path), trouble };
  }

  recordingPath(): string {
    return this.#recording.state.path;
  }

  hand(): BenchHand | null {
    return this.#options.hand ?? null;
  }

  room(): RoomMember | null {
    return this.#room;
  }

  joinRoom(member: RoomMember): void {
    this.#room = member;
    member.onChange(() => this.changed.tell());
  }

  playback(): PlaybackView | null {
    return null;
  }

  /** Of a simulated bench, times real time; null where time is the clock's. */
  speed(): number | null {
    const { source } = this.#options;
    return source instanceof PacedSource ? source.speed : null;
  }

  /** Nothing of a run can be played again, but a simulated bench goes at any speed. */
  play({ speed, ...more }: PlaybackCommand): Answer {
    const { source } = this.#options;
    if (speed === undefined || Object.keys(more).length > 0 || !(source instanceof PacedSource))
      return { ok: false, ...message('live-not-played') };
    source.setSpeed(speed);
    this.changed.tell();
    return { ok: true };
  }

  onLink(listener: (status: LinkStatus) => void): () => void {
    return this.#linked.on(listener);
  }

  /**
   * Every line of the board as it came: for setting a bench up, which works in counts. Told first are the lines by which the
   * board introduced itself, or who comes later would wait for it to do so again.
   */
  onLine(listener: (line: string) => void): () => void {
    for (const line of this.#introduction.values()) listener(line);
    return this.#heard.on(listener);
  }

  async close(): Promise<void> {
    await this.#options.source.close();
    this.#files = Number.NaN;
    this.#recording.close();
  }

  #take(records: RecordLine[]): void {
    if (records.length === 0) return;
    this.#recording.append(records);
    this.#lastMs = records[records.length - 1].ms;
    this.#addToRun(records);
    for (const { mark, payload } of records) if (mark === '<') this.#hear(payload);
  }

  #addToRun(records: readonly RecordLine[]): void {
    const before = this.#run.state;
    for (const record of records) this.#run.addRecord(record, (reading) => this.readings.tell(reading));
    if (this.#run.state !== before) this.changed.tell();
  }

  /** The recording has gone on in a new file: the run is what that file says, and shown once all of it has been read. */
  async #beginAnew(): Promise<void> {
    this.#files += 1;
    const file = this.#files;
    const run = this.#options.makeRun([]);
    let readings: LiveReading[] = [];
    const keep = (reading: LiveReading) => {
      readings.push(reading);
      if (readings.length > 2 * KEPT_READINGS) readings = readings.slice(-KEPT_READINGS);
    };
    await inSlices(
      splitRecords(this.#recording.readAt, { bytes: 0, torn: false }),
      (record) => run.addRecord(record, keep),
      () => this.#takeOver(run, readings),
      () => this.#files === file,
    );
  }

  #takeOver(run: Run, readings: readonly LiveReading[]): void {
    this.#run = run;
    if (this.#hasEnded) run.end();
    this.anew.tell();
    for (const reading of readings.slice(-KEPT_READINGS)) this.readings.tell(reading);
    this.changed.tell();
  }

  #hear(line: string): void {
    const introduces = /^(?:H|C,[^,]*),/.exec(line);
    if (introduces !== null) this.#introduction.set(introduces[0], line);
    this.#heard.tell(line);
  }

  #stamp(mark: '<' | '>' | '!', payload: string): RecordLine {
    this.#lastMs = Math.max(this.#lastMs, recordedMs(this.#options.clock()));
    return { ms: this.#lastMs, mark, payload };
  }

  #event(event: RunEvent): RecordLine {
    return this.#stamp('!', JSON.stringify(event));
  }

  #openingAnew(cutPath: string, latestMs: number | null): RecordLine[] {
    const note = message('goes-on-from', { file: basename(cutPath) }).text;
    const events: RunEvent[] = [...eventsInForce(this.view()), { kind: 'note', text: note }];
    const records = events.map((event) => this.#event(event));
    return latestMs === null ? records : records.map((record) => ({ ...record, ms: latestMs }));
  }

  #noteLink(status: LinkStatus): void {
    const changed = status.up !== null && status.up !== this.#link.up;
    this.#link = status;
    if (changed) this.#receive(() => [this.#event({ kind: 'link', up: status.up === true })]);
    this.#linked.tell(status);
    this.changed.tell();
  }
}
