import { describe, expect, it } from 'vitest';
import { DriverTrack } from '../../bridge/run/driver-track.ts';

/** A driver current on a 0.1 mA converter, 200 samples a second. */
class Driver {
  readonly track: DriverTrack;
  tS = 0;

  /** @param fullMa with the wire alone in the circuit */
  constructor(fullMa = 0) {
    this.track = new DriverTrack(0.1, fullMa);
  }

  run(seconds: number, mA: (tS: number) => number): void {
    const end = this.tS + seconds;
    for (; this.tS < end; this.tS += 0.005) {
      const dither = 0.06 * Math.sin(977 * this.tS);
      this.track.accept(this.tS, Math.round((mA(this.tS) + dither) * 10) / 10);
    }
  }

  hold(seconds: number, mA: number): void {
    this.run(seconds, () => mA);
  }

  /** The jockey has touched: the set is not empty. */
  touch(): void {
    this.track.noteTouch(this.tS);
  }

  get set(): number {
    return this.track.history.setAt(this.tS);
  }
}

/** A first set at 100 mA with a touch in it. */
function atWork(): Driver {
  const driver = new Driver();
  driver.hold(10, 100);
  driver.touch();
  return driver;
}

describe('sets by the driver current', () => {
  it('begins one where the current changes by more than 1 % within 10 s and holds for 2 s', () => {
    const driver = atWork();
    driver.hold(1.5, 102);
    expect(driver.set).toBe(1);
    driver.hold(2, 102);
    expect(driver.set).toBe(2);
    expect(driver.track.history.setAt(9)).toBe(1);
    expect(driver.track.history.setAt(12.5)).toBe(2);
  });

  it('begins none for less than 1 %, nor for a change that does not hold', () => {
    const driver = atWork();
    driver.hold(5, 100.8);
    driver.hold(1.2, 104);
    driver.hold(8, 100.8);
    expect(driver.set).toBe(1);
  });

  it('takes slower change as drift', () => {
    const driver = atWork();
    driver.run(120, (tS) => 100 - 0.05 * (tS - 10));
    expect(driver.set).toBe(1);
    driver.track.seal();
    expect(driver.track.history.at(70)?.mA).toBeCloseTo(97, 1);
  });

  it('takes a rheostat turned by hand over some seconds as one change', () => {
    const driver = atWork();
    driver.run(6, (tS) => 100 + 5 * (tS - 10));
    driver.hold(6, 130);
    expect(driver.set).toBe(2);
  });

  it('takes an open key as no change, and compares the currents before and after it', () => {
    const driver = atWork();
    driver.hold(30, 0);
    driver.hold(10, 100.3);
    expect(driver.set).toBe(1);
    driver.touch();
    driver.hold(600, 1);
    driver.hold(10, 93);
    expect(driver.set).toBe(2);
    driver.hold(4, 0);
    driver.hold(4, 93);
    expect(driver.set).toBe(2);
  });

  it('gives no number to settings at which nothing was touched', () => {
    const driver = new Driver();
    for (const mA of [60, 80, 100]) driver.hold(5, mA);
    driver.touch();
    expect(driver.set).toBe(1);
    for (const mA of [90, 110, 120]) driver.hold(5, mA);
    expect(driver.set).toBe(2);
  });

  it('counts touches before the first 2 s are over, and those of the 2 s in which a change must hold', () => {
    const driver = new Driver();
    driver.hold(0.5, 100);
    driver.touch();
    driver.hold(5, 100);
    driver.hold(1, 90);
    driver.touch();
    driver.hold(5, 90);
    expect(driver.set).toBe(2);
    driver.hold(5, 80);
    expect(driver.set).toBe(3);
  });

  it('counts an epoch at once where the current leaves its level', () => {
    const driver = atWork();
    const before = driver.track.epoch;
    driver.hold(0.6, 105);
    expect(driver.track.epoch).toBeGreaterThan(before);
  });

  it('follows a current that flows backwards', () => {
    const driver = new Driver();
    driver.hold(6, -100);
    driver.touch();
    driver.hold(6, -120);
    expect(driver.set).toBe(2);
    expect(driver.track.flowingNowS).toBeGreaterThan(11);
  });
});

describe('driver current', () => {
  it('is told at a time, through drift, within its uncertainty', () => {
    const driver = new Driver();
    const truth = (tS: number) => 100 * (1 - 3e-5 * tS);
    driver.run(200, truth);
    driver.track.seal();
    const [early, late] = [driver.track.history.at(20)!, driver.track.history.at(180)!];
    const ratio = early.mA / late.mA - truth(20) / truth(180);
    expect(Math.abs(ratio)).toBeLessThan(2 * 160 * early.uDriftPerS);
    expect(160 * early.uDriftPerS).toBeLessThan(1e-3);
  });

  it('says how long current has flowed', () => {
    const driver = new Driver();
    driver.hold(20, 100);
    driver.hold(10, 0);
    expect(driver.track.flowingNowS).toBe(0);
    driver.hold(5, 100);
    expect(driver.track.flowingS).toBeGreaterThan(24);
    expect(driver.track.flowingS).toBeLessThan(25.6);
    expect(driver.track.flowingNowS).toBeGreaterThan(4);
  });

  it('keeps to a bounded number of points over hours', () => {
    const driver = new Driver();
    for (let hour = 0; hour < 2; hour += 1) driver.hold(3600, 100);
    expect(driver.track.history.at(3600)?.mA).toBeCloseTo(100, 2);
    expect(driver.track.flowingS).toBeCloseTo(7200, -1);
  });

  it('knows nothing before anything was measured', () => {
    const track = new DriverTrack(0.1);
    expect([track.latestMa, track.history.at(0), track.history.setAt(0)]).toEqual([null, null, 1]);
  });
});

describe('no driver current', () => {
  const keyOpenAt = (driver: Driver, mA: number) => {
    driver.hold(1, mA);
    return driver.track.keyOpen;
  };

  it('is told by 5 % of the current before it, either way', () => {
    const driver = atWork();
    expect([6, 4, -4, -6].map((mA) => keyOpenAt(driver, mA))).toEqual([false, true, true, false]);
    expect(driver.track.history.openUpToMaAt(driver.tS)).toBeCloseTo(5, 1);
  });

  it('before any current has been held, by 5 % of what the wire alone would let flow', () => {
    expect([3, 7, 8].map((mA) => keyOpenAt(new Driver(150), mA))).toEqual([true, true, false]);
    // no bench file states the driver: five counts of the channel
    expect([0.3, 0.8].map((mA) => keyOpenAt(new Driver(), mA))).toEqual([true, false]);
  });

  it('begins no set: the zero of an ammeter that is off is no current', () => {
    const driver = new Driver(150);
    driver.hold(20, 2);
    driver.touch();
    driver.hold(10, 100);
    driver.touch();
    expect(driver.set).toBe(1);
    expect(driver.track.history.changesS).toEqual([]);
    expect(driver.track.flowingS).toBeLessThan(10.6);
  });

  it('is not known before anything was measured', () => {
    expect(new Driver().track.keyOpen).toBeNull();
  });
});
