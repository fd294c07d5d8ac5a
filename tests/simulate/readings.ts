import { convert } from '../../bridge/simulate/front-end.ts';
import { moments } from '../../bridge/simulate/moments.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import type { Step } from '../../bridge/simulate/steps.ts';

/**
 * A run as columns of numbers instead of lines, with the truth beside them: for studies of estimators. Samples are
 * the same, count for count, as those of `simulateRun` with the same scene on a sound line.
 */
export interface Readings {
  tS: Float64Array;
  /** Converter counts; `pos` and `drv` are NaN on a board without them. */
  gal: Float64Array;
  pos: Float64Array;
  drv: Float64Array;
  /** 1 where blade and wire touch, sensed or not. */
  contact: Uint8Array;
  row: Uint8Array;
  trueScaleCm: Float64Array;
  /** In the galvanometer itself: no filter, noise or hum. */
  trueUa: Float64Array;
}

export function simulateReadings(scene: Scene): Readings {
  const { gal, pos, drv } = scene.board.channels;
  const columns = Array.from({ length: 8 }, (): number[] => []);
  for (const { physical, analog } of moments(scene)) {
    const values = [
      physical.tS,
      convert(gal, analog.gal),
      pos === null ? Number.NaN : convert(pos, analog.pos),
      drv === null ? Number.NaN : convert(drv, analog.drv),
      physical.contact ? 1 : 0,
      physical.row,
      physical.scaleCm,
      physical.galvanometerUa,
    ];
    for (let column = 0; column < values.length; column += 1) columns[column].push(values[column]);
  }
  return {
    tS: Float64Array.from(columns[0]),
    gal: Float64Array.from(columns[1]),
    pos: Float64Array.from(columns[2]),
    drv: Float64Array.from(columns[3]),
    contact: Uint8Array.from(columns[4]),
    row: Uint8Array.from(columns[5]),
    trueScaleCm: Float64Array.from(columns[6]),
    trueUa: Float64Array.from(columns[7]),
  };
}

export interface SweepScript {
  row: number;
  fromCm: number;
  toCm: number;
  /** Of each pass, to and fro in turn; their number is the number of passes. */
  secondsOfPasses: readonly number[];
  /** Pauses on the wire before the first pass, between passes and after the last, in s. */
  pauseS: number;
  profile: 'smooth' | 'steady';
}

const arrive = (row: number, scaleCm: number): Step => ({
  do: 'move',
  to: { row, scaleCm },
  seconds: 0.4,
  profile: 'smooth',
});

/** Steps of one touch that slides across a stretch of a row, to and fro. The scale readings are true ones. */
export function sweepSteps(sweep: SweepScript): Step[] {
  const { row, profile } = sweep;
  const pause: Step = { do: 'wait', seconds: sweep.pauseS };
  const passes = sweep.secondsOfPasses.flatMap((seconds, pass): Step[] => [
    { do: 'move', to: { row, scaleCm: pass % 2 === 0 ? sweep.toCm : sweep.fromCm }, seconds, profile },
    pause,
  ]);
  return [arrive(row, sweep.fromCm), pause, { do: 'press' }, pause, ...passes, { do: 'lift' }, pause];
}

/** Steps of taps at the scale readings given (true ones), each held for `holdS`. */
export const tapSteps = (taps: { row: number; scalesCm: readonly number[]; holdS: number }): Step[] =>
  taps.scalesCm.flatMap((scaleCm): Step[] => [
    arrive(taps.row, scaleCm),
    { do: 'press' },
    { do: 'wait', seconds: taps.holdS },
    { do: 'lift' },
    { do: 'wait', seconds: 0.15 },
  ]);
