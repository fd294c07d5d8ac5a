import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BoardClock } from '../../bridge/samples/board-clock.ts';

const WRAP_US = 2 ** 32;

/** A board whose true time and sample count are known; the host hears it late by what is asked for. */
class TrueBoard {
  readonly clock = new BoardClock();
  readonly periodUs: number;
  trueUs = 0;
  lost = 0;
  boots = 0;
  latest = 0;
  private rawUs: number;
  private seq: number;

  constructor(rateHz: number, rawUs = 0, seq = 0) {
    this.periodUs = 1e6 / rateHz;
    this.rawUs = rawUs;
    this.seq = seq;
  }

  /** Goes on by some samples and hears the last of them. */
  step(samples = 1, jitterUs = 0, hostLateMs = 0): void {
    const us = Math.round(samples * this.periodUs + jitterUs);
    this.trueUs += us;
    this.rawUs = (this.rawUs + us) % WRAP_US;
    this.seq = (this.seq + samples) % 65536;
    this.hear(hostLateMs);
  }

  run(samples: number, jitter: (index: number) => number = () => 0): void {
    for (let index = 0; index < samples; index += 1) this.step(1, jitter(index));
  }

  boot(offUs: number): void {
    this.trueUs += offUs;
    this.rawUs = 120_000;
    this.seq = 0;
    this.hear();
  }

  private hear(hostLateMs = 0): void {
    const tick = this.clock.accept(this.seq, Math.floor(this.rawUs), this.trueUs / 1000 + hostLateMs);
    this.lost += tick.lost;
    this.boots += tick.booted ? 1 : 0;
    this.latest = tick.tUs;
  }
}

/** Started and heard once, so that times count from the first sample. */
function started(rateHz: number, rawUs = 0, seq = 0): TrueBoard {
  const board = new TrueBoard(rateHz, rawUs, seq);
  board.step();
  board.trueUs = 0;
  return board;
}

describe('board clock', () => {
  it('starts at zero whatever the counters say', () => {
    expect(new BoardClock().accept(40_000, 3e9, 17)).toEqual({ tUs: 0, booted: false, lost: 0 });
  });

  it('grows across a wrap of the clock, of the sequence number, and of both at once', () => {
    for (const [rawUs, seq] of [
      [WRAP_US - 30_000, 100],
      [5_000_000, 65_530],
      [WRAP_US - 30_000, 65_530],
    ]) {
      const board = started(200, rawUs, seq);
      board.run(50);
      expect([board.latest, board.lost, board.boots]).toEqual([board.trueUs, 0, 0]);
    }
  });

  it('counts what is missing, also where the clock wraps in the gap', () => {
    const board = started(100, WRAP_US - 1_500_000, 65_400);
    board.run(100);
    board.step(201);
    expect([board.latest, board.lost, board.boots]).toEqual([board.trueUs, 200, 0]);
  });

  it.each([
    [10 / 60, 200],
    [10, 200],
    [10, 1000],
    [45, 200],
    [70, 200],
    [71.2, 200],
    [72, 50],
    [90, 200],
    [90, 1000],
    [400, 200],
  ])('bridges %f minutes without a line at %i Hz', (minutes, rateHz) => {
    const jitter = (index: number) => (index % 2 === 0 ? 1 : -1) * 0.01 * (1e6 / rateHz);
    const board = started(rateHz, 3.1e9, 60_000);
    board.run(400, jitter);
    const samples = Math.round(minutes * 60 * rateHz);
    // The host notices that the port is back a few seconds late.
    board.step(samples, 0, 4000);
    expect(board.boots).toBe(0);
    expect(Math.abs(board.latest - board.trueUs)).toBeLessThan(1e6);
    expect(board.lost).toBe(samples - 1);
  });

  it('tells a boot by both counters falling back, and the host says how long it took', () => {
    const board = started(200, 0, 0);
    board.run(1000);
    board.boot(7_400_000);
    board.run(5);
    expect([board.latest, board.lost, board.boots]).toEqual([board.trueUs, 0, 1]);
  });

  it('never takes a boot for a wrap, whatever the counters were', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(50, 200, 1000),
        fc.integer({ min: 1e6, max: WRAP_US - 200e6 }),
        fc.integer({ min: 1000, max: 65_000 }),
        fc.integer({ min: 1, max: 60 }),
        (rateHz, rawUs, seq, offS) => {
          const board = started(rateHz, rawUs, seq);
          board.run(20);
          board.boot(offS * 1e6);
          board.run(20);
          expect([board.boots, board.lost]).toEqual([1, 0]);
          expect(Math.abs(board.latest - board.trueUs)).toBeLessThan(1000);
        },
      ),
      { numRuns: 500 },
    );
  });

  it('keeps time and count through drops, jitter and wraps of any kind', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(50, 90, 200, 1000),
        fc.integer({ min: 0, max: WRAP_US - 1 }),
        fc.integer({ min: 0, max: 65_535 }),
        fc.array(fc.tuple(fc.integer({ min: 1, max: 300 }), fc.integer({ min: -40, max: 40 })), {
          minLength: 1,
          maxLength: 60,
        }),
        (rateHz, rawUs, seq, steps) => {
          const board = started(rateHz, rawUs, seq);
          board.run(10);
          for (const [samples, jitterUs] of steps) board.step(samples, jitterUs);
          const lost = steps.reduce((sum, [samples]) => sum + samples - 1, 0);
          expect([board.lost, board.boots]).toEqual([lost, 0]);
          expect(Math.abs(board.latest - board.trueUs)).toBeLessThan(2);
        },
      ),
    );
  });
});
