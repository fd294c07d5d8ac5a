import type { OutsideBench } from './bench.ts';
import { countsAt, placeOf } from './bench.ts';
import type { BoardSpec } from './board.ts';
import { CELL, LOAD, OutsideBoard, PROTECT, ROW } from './board.ts';
import type { Circuit, Setting } from './circuit.ts';
import { balanceCm, currents } from './circuit.ts';
import type { DriverChoice } from './driver-wander.ts';
import { DriverWander } from './driver-wander.ts';
import type { SensorChoice } from './jockey-sensor.ts';
import { JockeySensor } from './jockey-sensor.ts';
import { flickerNoise, normalOf, smoothError, uniformFrom } from './noise.ts';
import { escaped, sealed } from './wire-line.ts';

/** A run written as formats.md says, step by step as a hand at the bench makes it. Seeded: the same steps give the same text. */

export interface RunChoice extends DriverChoice, SensorChoice {
  seed: number;
  board: BoardSpec;
  bench: OutsideBench;
  /** Time constant of the filter before the converter. */
  lagMs?: number;
  galNoiseUa?: number;
  /** Standard deviation of slow noise in the galvanometer's current, its power one over the frequency. */
  flickerUa?: number;
  /** What the galvanometer's amplifier makes of a current, in uA: one that clips, or whose gain falls. */
  amplified?: (ua: number) => number;
  /** Of the driver channel: 0.02 mA by default, a fifth of a count at 12 bits; 0 where nothing dithers it. */
  drvNoiseMa?: number;
  posNoiseCm?: number;
  /** Standard deviation of the sensor's error; the bench file's by default. */
  uScaleCm?: number;
  humUa?: number;
  humHz?: number;
  /** Spread of single sampling instants, in microseconds. */
  jitterUs?: number;
  damagedShare?: number;
  /** Board lines begin with this much of the recording already gone by. */
  startMs?: number;
  carriageReturns?: boolean;
  /** A cell's EMF at a time, over its EMF at the beginning. */
  emfFactor?: (cell: 1 | 2, tS: number) => number;
  /** Error of the scale or sensor at a scale reading, in place of one drawn by `uScaleCm`. */
  scaleErrorCm?: (x: number) => number;
}

export class OutsideRun {
  readonly lines: string[] = ['#tenwire-recording 1'];
  readonly setting: Setting = {
    cell: 1,
    rheostatOhm: 8,
    keyClosed: true,
    protect: true,
    loadOhm: null,
    brokenCm: null,
    branchOpen: false,
  };
  readonly bench: OutsideBench;
  readonly board: OutsideBoard;
  /** Sensor error in cm at a scale reading: part of the truth. */
  readonly scaleErrorCm: (x: number) => number;
  /** S lines written sound, written damaged, and samples of which no line was written. */
  sound = 0;
  damaged = 0;
  unsent = 0;
  /** `!` lines so far. */
  events = 0;
  /** Seconds of true time since the first sample. */
  tS = 0;
  private readonly choice: RunChoice;
  private readonly uniform: () => number;
  private readonly normal: () => number;
  private readonly flicker: (stepS: number) => number;
  private readonly driver: DriverWander;
  private readonly sensor: JockeySensor;
  private readonly driverMaSeen: { tS: number; mA: number }[] = [];
  private ms: number;
  private filteredUa = 0;
  private targetUa = 0;
  private placeCm = 50;
  private row = 0;

  constructor(choice: RunChoice) {
    this.choice = choice;
    this.bench = choice.bench;
    this.board = new OutsideBoard(choice.board);
    this.uniform = uniformFrom(choice.seed);
    this.normal = normalOf(this.uniform);
    const apart = uniformFrom(choice.seed + 0x5eed);
    this.flicker = choice.flickerUa === undefined ? () => 0 : flickerNoise(choice.flickerUa, apart);
    this.driver = new DriverWander(choice, apart);
    this.sensor = new JockeySensor(choice);
    this.scaleErrorCm = choice.scaleErrorCm ?? smoothError(choice.uScaleCm ?? 0.03, 15, this.uniform);
    this.ms = choice.startMs ?? 0;
  }

  get text(): string {
    return `${this.lines.join('\n')}\n`;
  }

  /** Balancing length of the cell in circuit, or of another, now. */
  truthCm(cell: 1 | 2 = this.setting.cell as 1 | 2): number {
    return balanceCm(this.circuitNow(), { ...this.setting, cell });
  }

  /** Balancing length that a cell of steady EMF, without a load, had at a time of the run, by the driver current that flowed. */
  truthAtCm(cell: 1 | 2, tS: number): number {
    return this.lengthAtCm(cell, this.driverMaAt(tS));
  }

  /** Balancing length of a cell of steady EMF, without a load, at a driver current. */
  lengthAtCm(cell: 1 | 2, driverMa: number): number {
    const { circuit } = this.bench;
    const ohm = (1000 * circuit.cells[cell].emfV) / driverMa - circuit.endAOhm;
    return (ohm * circuit.wireCm) / circuit.wireOhm;
  }

  /** True driver current at a balance, in mA, at a time of the run. */
  driverMaAt(tS: number): number {
    const seen = this.driverMaSeen;
    let [low, high] = [0, seen.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (seen[middle].tS < tS) low = middle + 1;
      else high = middle;
    }
    return seen[low].mA;
  }

  /** Answers the number that `undo` names. */
  message(event: Record<string, unknown>): number {
    this.lines.push(`${this.stamp()} ! ${JSON.stringify(event)}`);
    this.events += 1;
    return this.events;
  }

  open(): void {
    this.message({ kind: 'about', startedUtc: '2026-03-02T09:30:00Z', by: ['outside'], temperatureC: 21 });
    this.message({ kind: 'bench', bench: this.bench.file });
  }

  hello(): void {
    this.heard(this.board.hello());
    for (const span of this.board.spans()) this.heard(span);
  }

  /** A line from the board, as it came. */
  heard(line: string): void {
    this.lines.push(`${this.stamp()} < ${escaped(this.choice.carriageReturns ? `${line}\r` : line)}`);
  }

  heardPayload(payload: string): void {
    this.heard(sealed(payload));
  }

  /** The two-way key; said where the board does not sense it. */
  useCell(cell: 0 | 1 | 2): void {
    this.setting.cell = cell;
    if (!this.senses(CELL)) this.message({ kind: 'cell', cell });
  }

  useProtection(put: boolean): void {
    this.setting.protect = put;
    if (!this.senses(PROTECT)) this.message({ kind: 'protect', in: put });
  }

  /** A load across the cell; its size is always said, whether it is in only where the board does not sense it. */
  useLoad(ohm: number | null, uOhm = 0.01): void {
    this.setting.loadOhm = ohm;
    if (ohm !== null) this.message({ kind: 'load', in: true, ohm, uOhm });
    else if (!this.senses(LOAD)) this.message({ kind: 'load', in: false });
  }

  /** The rheostat turned within a second, and time to settle. */
  useRheostat(ohm: number): void {
    const from = this.setting.rheostatOhm;
    for (let step = 1; step <= 10; step += 1) {
      this.driver.moved();
      this.setting.rheostatOhm = from + ((ohm - from) * step) / 10;
      this.lift(0.1);
    }
    this.lift(3);
  }

  private senses(flag: number): boolean {
    return (this.board.spec.senses & flag) !== 0;
  }

  /** The jockey lifted for a time. */
  lift(seconds: number): void {
    this.during(seconds, () => null);
  }

  tap(lengthCm: number, seconds = 0.6): void {
    this.hold(lengthCm + 0.02 * this.normal(), seconds);
    this.lift(0.5);
  }

  hold(lengthCm: number, seconds: number): void {
    this.during(seconds, () => lengthCm);
  }

  /** Contact held from one length to another (both on one row), with a hand's unevenness. */
  sweep(fromCm: number, toCm: number, seconds: number): void {
    const turns = 2 + Math.floor(2 * this.uniform());
    this.during(seconds, (share) => {
      const uneven = share + (0.35 * Math.sin(2 * Math.PI * turns * share)) / (2 * Math.PI * turns);
      return fromCm + (toCm - fromCm) * uneven;
    });
    this.lift(0.7);
  }

  /** A sweep through the null of the cell in circuit, to `onward` (+1 away from A) over a reach each side. */
  sweepNull(onward: 1 | -1, reachCm: number, seconds: number): void {
    const truth = this.truthCm();
    const row = placeOf(this.bench, truth).row;
    const least = Math.max(100 * (row - 1) + 0.3, truth - reachCm * (0.8 + 0.4 * this.uniform()));
    const most = Math.min(100 * row - 0.3, truth + reachCm * (0.8 + 0.4 * this.uniform()));
    this.sweep(onward === 1 ? least : most, onward === 1 ? most : least, seconds);
  }

  tapsAbout(offsetsCm: number[]): void {
    const truth = this.truthCm();
    for (const offset of offsetsCm) this.tap(truth + offset, 0.7);
  }

  /** No line arrives for a time, while the board goes on and its counters with it. */
  silence(seconds: number): void {
    const samples = Math.round(seconds * this.board.spec.rateHz);
    this.board.pass(seconds * 1e6, samples);
    this.unsent += samples;
    this.tS += seconds;
  }

  /** The board starts anew after some seconds without power. */
  restart(offSeconds: number): void {
    this.board.restart();
    this.tS += offSeconds;
    this.hello();
  }

  private during(seconds: number, lengthAt: (share: number) => number | null): void {
    const period = 1 / this.board.spec.rateHz;
    const count = Math.max(1, Math.round(seconds * this.board.spec.rateHz));
    for (let index = 0; index < count; index += 1) {
      const lengthCm = lengthAt(count === 1 ? 0 : index / (count - 1));
      this.sample(lengthCm, period);
    }
  }

  private circuitNow() {
    const { circuit } = this.bench;
    return { ...circuit, driverV: circuit.driverV * this.driver.at(this.tS), cells: this.cellsAt(this.tS) };
  }

  private cellsAt(tS: number): Circuit['cells'] {
    const { cells } = this.bench.circuit;
    const { emfFactor } = this.choice;
    if (emfFactor === undefined) return cells;
    const cell = (which: 1 | 2) => ({ ...cells[which], emfV: cells[which].emfV * emfFactor(which, tS) });
    return { 1: cell(1), 2: cell(2) };
  }

  private sample(lengthCm: number | null, periodS: number): void {
    const { bench, choice, setting } = this;
    const jitter = (choice.jitterUs ?? 20) * (2 * this.uniform() - 1);
    const stepS = periodS + jitter * 1e-6;
    this.tS += stepS;
    this.board.pass(stepS * 1e6, 1);
    if (lengthCm !== null) {
      const place = placeOf(bench, lengthCm);
      if (place.row !== this.row && !this.senses(ROW)) this.message({ kind: 'row', row: place.row });
      this.row = place.row;
      this.placeCm = place.scaleCm;
    }
    this.driver.pass(stepS);
    const circuit = this.circuitNow();
    const { galvanometerA, driverA } = currents(circuit, setting, lengthCm);
    this.driverMaSeen.push({ tS: this.tS, mA: 1000 * currents(circuit, setting, null).driverA });
    const hum = (choice.humUa ?? 0) * Math.sin(2 * Math.PI * (choice.humHz ?? 50) * this.tS + 0.7);
    this.follow(galvanometerA * 1e6, lengthCm !== null, stepS);
    const noise = (choice.galNoiseUa ?? 0.06) * this.normal() + this.flicker(stepS);
    const { amplified = (ua: number) => ua } = choice;
    const shown = amplified(this.filteredUa + hum) + noise;
    const place = this.sensor.shows(this.tS, this.placeCm);
    const scale = place + this.scaleErrorCm(place) + (choice.posNoiseCm ?? 0.012) * this.normal();
    const line = this.board.line({
      gal: bench.galZeroTrue + shown / bench.uaPerCount,
      pos: countsAt(bench.points, scale),
      drv: bench.drvZero + (1000 * driverA + (choice.drvNoiseMa ?? 0.02) * this.normal()) / bench.maPerCount,
      contact: lengthCm !== null,
      cell: setting.cell,
      protect: setting.protect,
      load: setting.loadOhm !== null,
      row: Math.max(1, this.row),
    });
    this.send(line);
  }

  /** One pole; between two samples in contact the current is taken to change evenly. */
  private follow(ua: number, steady: boolean, stepS: number): void {
    const tau = (this.choice.lagMs ?? 2) / 1000;
    const from = steady && this.targetUa !== 0 ? this.targetUa : ua;
    this.targetUa = steady ? ua : 0;
    const rate = (ua - from) / stepS;
    this.filteredUa = ua - rate * tau + (this.filteredUa - from + rate * tau) * Math.exp(-stepS / tau);
  }

  private send(line: string): void {
    if (this.uniform() < (this.choice.damagedShare ?? 0)) {
      this.damaged += 1;
      const at = Math.floor(this.uniform() * line.length);
      const byte = String.fromCharCode(128 + Math.floor(100 * this.uniform()));
      this.heard(line.slice(0, at) + byte + line.slice(at + 1));
      return;
    }
    this.sound += 1;
    this.heard(line);
  }

  private stamp(): string {
    this.ms = Math.max(this.ms, (this.choice.startMs ?? 0) + this.tS * 1000 + 2 + this.uniform());
    return this.ms.toFixed(3);
  }
}
