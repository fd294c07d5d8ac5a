import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { Frame, SampleFrame } from '../../firmware-protocol/frames.ts';
import type { BenchFault } from '../bench/bench-file.ts';
import { readBench } from '../bench/bench-file.ts';
import { unloadedDriverMa } from '../bench/branch-load.ts';
import type { Reading } from '../bench/reading.ts';
import { BenchReader } from '../bench/reading.ts';
import type { Formulas } from '../calc-core/formulas.ts';
import type { FoundNull } from '../detect/detector.ts';
import type { RecordLine } from '../recording/record.ts';
import type { Sample } from '../samples/board.ts';
import { Board } from '../samples/board.ts';
import { BoardClock } from '../samples/board-clock.ts';
import type { EarlySample } from '../samples/early-samples.ts';
import { EarlySamples } from '../samples/early-samples.ts';
import type { BenchInUse } from './bench-detectors.ts';
import { BenchDetectors } from './bench-detectors.ts';
import { BenchUndoing } from './bench-undoing.ts';
import type { BuiltView } from './build-view.ts';
import { buildView, bySeverity } from './build-view.ts';
import { DriverTrack } from './driver-track.ts';
import { EventLog } from './event-log.ts';
import { streamFindings } from './findings/stream.ts';
import { guidance } from './guidance.ts';
import { fullCurrentMa } from './key-open.ts';
import { liveReading } from './live-reading.ts';
import { NoDeflectionWatch } from './no-deflection-watch.ts';
import { SpokenWords } from './spoken-words.ts';
import { TouchContexts } from './touch-contexts.ts';
import type { TouchLabels } from './touch-labels.ts';
import { labelsOf, RELABELLING, sameSensed } from './touch-labels.ts';
import type { LiveReading, RunView, StreamCounts } from './view.ts';

export interface FoldOptions {
  /** For the calculations; `loadFormulas` of the calc core gives them. */
  formulas: Formulas;
  /** Numbers of `bench` events that the recording takes back; see `UndoneBenches`. */
  undoneBenches?: ReadonlySet<number>;
}

/** A null as the detection found it, or a length read by eye, in the order found. */
export type FoundLength = { by: 'board'; found: FoundNull<TouchLabels>; benchIndex: number } | EyeLength;

export interface EyeLength {
  by: 'eye';
  event: number;
  bench: BenchReader;
  /** What the board and people said when it was read. */
  labels: TouchLabels;
  tS: number;
}

interface Held extends EarlySample {
  afterGap: boolean;
  events: number;
  /** In force when it came; another may be by the time it can be read. */
  bench: BenchInUse | null;
}

/**
 * One run: records of its recording in, its whole state out. Live runs, replays and reports all go through here, so they
 * agree to the last digit: what it answers depends on the records alone, not on when it was asked, and no clock is read.
 * It never throws on a record: damaged lines and events are counted, a bench file that can't be used is a finding.
 * Units stand in names; what is not known is null.
 */
export class RunFold {
  /** Grows whenever anything but the newest reading may have changed. */
  version = 0;
  onReading: ((reading: LiveReading) => void) | undefined;

  readonly log = new EventLog();
  readonly board = new Board();
  readonly stream: StreamCounts = { samples: 0, badLines: 0, lostSamples: 0, boots: 0 };
  /** In the order found: the first is `n1`. */
  readonly lengths: FoundLength[] = [];
  readonly benchFaults: { number: number; faults: BenchFault[] }[] = [];
  readonly detectors = new BenchDetectors({
    onNull: (found, benchIndex) => this.noteNull(found, benchIndex),
    onImproved: (before, found) => this.replaceNull(before, found),
    onTouched: (deflections) => {
      for (const { tS } of deflections) this.driver?.noteTouch(tS);
      return this.driver?.latestMa ?? null;
    },
    onLearnt: () => this.noteLearnt(),
  });
  readonly silence = new NoDeflectionWatch();
  driver: DriverTrack | null = null;
  linkUp: boolean | null = null;
  lastSample: Sample | null = null;
  torn = false;
  readonly formulas: Formulas;

  private readonly clock = new BoardClock();
  private readonly benchUndoing: BenchUndoing;
  private readonly words = new SpokenWords(this.log);
  private readonly contexts = new TouchContexts(this.words);
  private readonly early = new EarlySamples<Held>();
  private relabelledAt = 0;
  private newest: { reading: Reading; bench: BenchInUse } | null = null;
  private viewed: { version: number; built: BuiltView } | null = null;

  constructor(options: FoldOptions) {
    this.formulas = options.formulas;
    this.benchUndoing = new BenchUndoing(options.undoneBenches ?? new Set());
  }

  /** The bench in force; null before the first. */
  get bench(): BenchReader | null {
    return this.detectors.current?.reader ?? null;
  }

  /** A `bench` event that is folded already was taken back: fold again from the start. */
  get needsRefold(): boolean {
    return this.benchUndoing.provedWrong;
  }

  /** Takes the next record; 'unreadable' stands for a line of the file that is none. */
  accept(record: RecordLine | 'unreadable'): void {
    if (record === 'unreadable') {
      this.stream.badLines += 1;
      this.version += 1;
    } else if (record.mark === '<') {
      this.acceptLine(record.payload, record.ms);
    } else if (record.mark === '!') {
      this.acceptEvent(record.payload, record.ms);
    }
  }

  /**
   * The run or its recording ends here: a touch that is under way counts as far as it came.
   * @param torn the file ended in the middle of a line, which is left out
   */
  end(torn = false): void {
    this.detectors.endTouch();
    this.torn = torn;
    this.version += 1;
  }

  /** Everything that is known of the run by now. */
  view(): RunView {
    if (this.viewed === null || this.viewed.version !== this.version) {
      this.viewed = { version: this.version, built: buildView(this) };
    }
    const { view, nulls, findings } = this.viewed.built;
    const now = this.newest === null ? null : live(this.newest.reading, this.newest.bench);
    const { set, cell, protect, load } = view.labels;
    const present = {
      set: set.value,
      cell: cell.value,
      protect: protect.value,
      load: load.value,
      loadOhm: load.ohm,
    };
    const { driver } = this;
    return {
      ...view,
      now,
      guidance: guidance(this, nulls, present, now),
      stream: { ...this.stream },
      findings: bySeverity([...streamFindings(this), ...findings]),
      keyOpen: driver?.keyOpen ?? null,
      wireCurrentS: driver === null ? null : { now: driver.flowingNowS, total: driver.flowingS },
      durationS: this.nowS ?? 0,
    };
  }

  private acceptLine(line: string, ms: number): void {
    const frame = decodeLine(line);
    switch (frame.type) {
      case 'S':
        this.acceptSample(frame, ms);
        break;
      case 'bad':
        this.stream.badLines += 1;
        this.version += 1;
        break;
      case 'H':
      case 'C':
        this.introduce(frame);
        break;
      default:
        break;
    }
  }

  private introduce(frame: Extract<Frame, { type: 'H' | 'C' }>): void {
    this.board.introduce(frame);
    this.version += 1;
    for (const held of this.early.release(this.board)) this.readSample(held);
  }

  private acceptSample(frame: SampleFrame, ms: number): void {
    const tick = this.clock.accept(frame.seq, frame.tUs, ms);
    if (tick.booted || this.stream.boots === 0) this.stream.boots += 1;
    this.stream.samples += 1;
    this.stream.lostSamples += tick.lost;
    if (tick.booted || tick.lost > 0 || this.stream.samples === 1) this.version += 1;
    const held: Held = {
      frame,
      tUs: tick.tUs,
      afterGap: tick.booted || tick.lost > 0,
      events: this.relabelledAt,
      bench: this.detectors.current,
    };
    if (this.early.isEmpty && this.board.canRead(frame)) this.readSample(held);
    else this.early.hold(held);
  }

  private readSample(held: Held): void {
    const sample = this.board.read(held.frame, held.tUs, held.afterGap);
    if (this.lastSample === null || !sameSensed(this.lastSample, sample)) this.version += 1;
    this.lastSample = sample;
    const { bench } = held;
    if (bench === null) return;
    const reading = bench.reader.read(sample, this.words.at(held.events));
    this.newest = { reading, bench };
    this.followDriver(reading, bench);
    if (this.silence.accept(reading)) this.version += 1;
    if (bench === this.detectors.current) {
      const context = this.contexts.of(sample, bench.reader, held.events, this.driver?.epoch ?? 0);
      bench.detector.accept(reading, context);
    }
    if (this.onReading !== undefined) this.onReading(live(reading, bench));
  }

  private followDriver(reading: Reading, { reader, detector }: BenchInUse): void {
    const { driver } = this;
    if (driver === null) return;
    const { revision } = driver;
    const driverMa = unloadedDriverMa(reader.bench, reading, detector.zero.latest.counts);
    if (driverMa !== null) driver.accept(reading.tS, driverMa);
    if (driver.revision !== revision) this.version += 1;
    if (reading.contact === true) driver.noteTouch(reading.tS);
  }

  private acceptEvent(json: string, ms: number): void {
    const entry = this.log.add(json, ms, this.nowS);
    this.version += 1;
    const { event } = entry;
    if (event === null) return;
    if (RELABELLING.has(event.kind)) this.relabelledAt = this.log.count;
    if (event.kind === 'bench' && !this.benchUndoing.leavesOut(entry.number))
      this.useBench(event.bench, entry.number);
    if (event.kind === 'link') this.linkUp = event.up;
    if (event.kind === 'resumed' || (event.kind === 'link' && !event.up)) this.detectors.endTouch();
    if (event.kind === 'length') this.noteLength(entry.number);
    if (event.kind === 'undo') this.benchUndoing.check(this.log);
  }

  private useBench(value: unknown, number: number): void {
    const reading = readBench(value);
    if (!reading.ok) {
      this.benchFaults.push({ number, faults: reading.faults });
      return;
    }
    const reader = new BenchReader(reading.bench);
    const step = reading.bench.ammeter?.milliampsPerCount;
    if (step !== undefined) this.driver ??= new DriverTrack(step, fullCurrentMa(reading.bench));
    const span = this.board.span('pos');
    const middle = span === null ? TWELVE_BIT_MIDDLE : (span.minCount + span.maxCount) / 2;
    this.detectors.use(reader, reader.stepCm(middle));
  }

  private noteNull(found: FoundNull<TouchLabels>, benchIndex: number): void {
    this.lengths.push({ by: 'board', found, benchIndex });
    this.noteLearnt();
  }

  private replaceNull(before: FoundNull<TouchLabels>, found: FoundNull<TouchLabels>): void {
    const at = this.lengths.findLastIndex((length) => length.by === 'board' && length.found === before);
    const length = this.lengths[at];
    if (length?.by === 'board') this.lengths[at] = { ...length, found };
    this.noteLearnt();
  }

  /** Only here may what `buildView` computes from readings change: a view must not depend on when it was asked for. */
  private noteLearnt(): void {
    this.driver?.seal();
    this.version += 1;
  }

  private noteLength(event: number): void {
    const { bench } = this;
    if (bench === null) return;
    const labels = labelsOf(this.lastSample, bench, this.log.count);
    const tS = this.nowS ?? 0;
    this.lengths.push({ by: 'eye', event, bench, labels, tS });
    this.driver?.noteTouch(tS);
    this.noteLearnt();
  }

  /** Board time of the newest reading in seconds; null before the first. */
  private get nowS(): number | null {
    return this.newest?.reading.tS ?? null;
  }
}

const live = (reading: Reading, { reader, detector }: BenchInUse): LiveReading =>
  liveReading(reader.bench, reading, detector.zero.latest.counts);

/** Where the position converter's span is not known yet. */
const TWELVE_BIT_MIDDLE = 2048;
