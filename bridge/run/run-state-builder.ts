import { readBench } from '../bench/bench-file.ts';
import { unloadedDriverMa } from '../bench/branch-load.ts';
import type { Reading } from '../bench/reading.ts';
import { BenchReader } from '../bench/reading.ts';
import type { RecordLine } from '../recording/record.ts';
import type { Detected } from './bench-detection.ts';
import { BenchDetection } from './bench-detection.ts';
import { DriverTrack } from './driver-track.ts';
import { EventLog } from './event-log.ts';
import { fullCurrentMa } from './key-open.ts';
import { liveReading } from './live-reading.ts';
import { NoDeflectionWatch } from './no-deflection-watch.ts';
import type { Evidence, FoundLength, PresentState, RunState } from './run-state.ts';
import type { Taken } from './sample-intake.ts';
import { SampleIntake } from './sample-intake.ts';
import { LatestSaidSwitches, RELABELLING, resolveSwitches, sameSensed, sensedIn } from './switches.ts';
import { TouchContexts } from './touch-contexts.ts';
import type { LiveReading } from './view.ts';

/** What held when a sample came. */
interface Circumstances {
  /** Events on record by then that label touches. */
  events: number;
  /** The bench in force; null before the first. */
  bench: BenchDetection | null;
}

export type TellReading = (reading: LiveReading) => void;

/** Touches that are kept as evidence of the connections. */
const MOST_EVIDENCE = 3000;
const MOST_WASTED = 300;

/** Where the position converter's span is not known yet. */
const TWELVE_BIT_MIDDLE = 2048;

/**
 * Records of a run in, its state out. It never throws on a record: damaged lines and events are counted, a bench file that
 * can't be used is noted.
 */
export class RunStateBuilder {
  private readonly benchesTakenBack: ReadonlySet<number>;
  private readonly log = new EventLog();
  private readonly intake = new SampleIntake<Circumstances>();
  private readonly said = new LatestSaidSwitches(this.log);
  private readonly contexts = new TouchContexts(this.said);
  private readonly noDeflection = new NoDeflectionWatch();
  private driver: DriverTrack | null = null;
  private bench: BenchDetection | null = null;
  private newest: { reading: Reading; bench: BenchDetection } | null = null;
  private relabelledAt = 0;
  private built: RunState;

  /** @param benchesTakenBack numbers of the `bench` events that the recording takes back; see the function of that name */
  constructor(benchesTakenBack: ReadonlySet<number>) {
    this.benchesTakenBack = benchesTakenBack;
    this.built = {
      log: this.log,
      events: 0,
      board: this.intake.boardState,
      losses: this.intake.losses,
      benches: [],
      benchFaults: [],
      lengths: [],
      evidence: [],
      wasted: [],
      driver: null,
      sensed: null,
      stillCell: null,
      linkUp: null,
      torn: false,
    };
  }

  /** Another object after each record that told anything but a newer reading. */
  get state(): RunState {
    return this.built;
  }

  /** @param tellReading told of each reading that the record makes readable */
  addRecord(record: RecordLine | 'unreadable', tellReading?: TellReading): void {
    if (record === 'unreadable') {
      this.intake.countBadLine();
      this.noteLosses();
    } else if (record.mark === '<') {
      this.addLine(record.payload, record.ms, tellReading);
    } else if (record.mark === '!') {
      this.addEvent(record.payload, record.ms);
    }
  }

  /**
   * The run or its recording ends here: a touch that is under way counts as far as it came.
   * @param torn the file ended in the middle of a line, which is left out
   */
  end(torn: boolean): void {
    this.endTouch();
    this.learn({ torn });
  }

  /** What changes with every sample. */
  present(): PresentState {
    const { bench, driver, newest } = this;
    return {
      samples: this.intake.samples,
      now: newest === null ? null : this.live(newest.reading, newest.bench),
      driverMa: driver?.latestMa ?? null,
      keyOpen: driver?.keyOpen ?? null,
      wireCurrentS: driver === null ? null : { now: driver.flowingNowS, total: driver.flowingS },
      noiseCounts: bench?.detector.zero.sampleSigma ?? 0,
    };
  }

  private learn(change: Partial<RunState>): void {
    this.built = { ...this.built, ...change };
  }

  private addLine(line: string, ms: number, tellReading?: TellReading): void {
    const taken = this.intake.addLine(line, ms, { events: this.relabelledAt, bench: this.bench });
    if (this.intake.boardState !== this.built.board) this.learn({ board: this.intake.boardState });
    this.noteLosses();
    for (const one of taken) this.readSample(one, tellReading);
  }

  private noteLosses(): void {
    const { losses } = this.intake;
    if (losses !== this.built.losses) this.learn({ losses });
  }

  private readSample({ sample, circumstances }: Taken<Circumstances>, tellReading?: TellReading): void {
    const { sensed } = this.built;
    if (sensed === null || !sameSensed(sensed, sample)) this.learn({ sensed: sensedIn(sample) });
    const { bench, events } = circumstances;
    if (bench === null) return;
    const { reader } = bench;
    const reading = reader.read(
      sample,
      resolveSwitches(sample, this.said.at(events), reader.bench.wire.rows),
    );
    this.newest = { reading, bench };
    this.followDriver(reading, bench);
    this.noDeflection.addReading(reading);
    const { stillCell } = this.noDeflection;
    if (stillCell !== this.built.stillCell) this.learn({ stillCell });
    if (bench === this.bench) {
      const context = this.contexts.of(sample, reader, events, this.driver?.epoch ?? 0);
      this.noteDetected(bench, bench.addReading(reading, context));
    }
    tellReading?.(this.live(reading, bench));
  }

  private followDriver(reading: Reading, { reader, detector }: BenchDetection): void {
    const { driver } = this;
    if (driver === null) return;
    const driverMa = unloadedDriverMa(reader.bench, reading, detector.zero.latest.counts);
    if (driverMa !== null) driver.accept(reading.tS, driverMa, driverMa - (reading.driverMa ?? driverMa));
    if (reading.contact === true) driver.noteTouch(reading.tS);
    if (driver.history !== this.built.driver) this.learn({ driver: driver.history });
  }

  private live(reading: Reading, { reader, detector }: BenchDetection): LiveReading {
    return liveReading(reader.bench, reading, detector.zero.latest.counts);
  }

  private noteDetected(bench: BenchDetection, told: readonly Detected[]): void {
    if (told.length === 0) return;
    let { lengths, evidence, wasted } = this.built;
    for (const one of told) {
      if (one.what === 'null')
        lengths = [...lengths, { by: 'board', found: one.found, benchIndex: bench.index }];
      if (one.what === 'better null') lengths = lengths.map((length) => improved(length, one));
      if (one.what === 'deflections') evidence = [...kept(evidence), this.evidenceOf(one)];
      if (one.what === 'wasted')
        wasted = [...wasted.slice(-MOST_WASTED), { ...one.wasted, labels: one.labels }];
    }
    this.learn({ lengths, evidence, wasted, driver: this.driver?.seal() ?? null });
    this.noteBench(bench);
  }

  private evidenceOf({ labels, deflections }: Extract<Detected, { what: 'deflections' }>): Evidence {
    for (const { tS } of deflections) this.driver?.noteTouch(tS);
    return { labels, deflections, driverMa: this.driver?.latestMa ?? null };
  }

  private noteBench(bench: BenchDetection): void {
    this.learn({ benches: [...this.built.benches.slice(0, bench.index), bench.state] });
  }

  private endTouch(): void {
    if (this.bench === null) return;
    this.noteDetected(this.bench, this.bench.endTouch());
    this.noteBench(this.bench);
  }

  private addEvent(json: string, ms: number): void {
    const { event, number } = this.log.add(json, ms, this.newest?.reading.tS ?? null);
    this.learn({ events: this.log.count });
    if (event === null) return;
    if (RELABELLING.has(event.kind)) this.relabelledAt = this.log.count;
    if (event.kind === 'bench' && !this.benchesTakenBack.has(number)) this.useBench(event.bench, number);
    if (event.kind === 'link') this.learn({ linkUp: event.up });
    if (event.kind === 'resumed' || (event.kind === 'link' && !event.up)) this.endTouch();
    if (event.kind === 'length') this.noteReadByEye(number);
  }

  private useBench(value: unknown, number: number): void {
    const { benches, benchFaults, board } = this.built;
    const read = readBench(value);
    if (!read.ok) {
      this.learn({ benchFaults: [...benchFaults, { number, faults: read.faults }] });
      return;
    }
    this.endTouch();
    const reader = new BenchReader(read.bench);
    const step = read.bench.ammeter?.milliampsPerCount;
    if (step !== undefined) this.driver ??= new DriverTrack(step, fullCurrentMa(read.bench));
    const { pos } = board.spans;
    const middle = pos === null ? TWELVE_BIT_MIDDLE : (pos.minCount + pos.maxCount) / 2;
    this.bench = new BenchDetection(reader, benches.length, reader.stepCm(middle));
    this.noteBench(this.bench);
    this.learn({ driver: this.driver?.history ?? null });
  }

  private noteReadByEye(event: number): void {
    if (this.bench === null) return;
    const tS = this.newest?.reading.tS ?? 0;
    const labels = {
      bench: this.bench.reader,
      events: this.log.count,
      sensed: sensedIn(this.built.sensed),
    };
    const lengths: FoundLength[] = [...this.built.lengths, { by: 'eye', event, labels, tS }];
    this.driver?.noteTouch(tS);
    this.learn({ lengths, driver: this.driver?.seal() ?? null });
  }
}

const improved = (
  length: FoundLength,
  { before, found }: Extract<Detected, { what: 'better null' }>,
): FoundLength => (length.by === 'board' && length.found === before ? { ...length, found } : length);

/** Old evidence is dropped a tenth at a time. */
const kept = (evidence: readonly Evidence[]): readonly Evidence[] =>
  evidence.length < MOST_EVIDENCE ? evidence : evidence.slice(MOST_EVIDENCE / 10);
