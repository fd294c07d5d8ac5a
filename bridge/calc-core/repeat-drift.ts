import { weightedLine } from './line-fit.ts';

/** Drift of a driver that nothing measures, from repeats of balancing lengths within one set. */

export interface RepeatedLength {
  /** What was measured, such as `cell 1`: lengths of one group are repeats of each other. */
  group: string;
  lengthCm: number;
  /** Standard uncertainty of what differs between the repeats. */
  uCm: number;
  tS: number;
}

export interface RepeatDrift {
  /** Relative change of the driver current per second, at the time zero of `tS`, and its standard uncertainty. */
  perS: number;
  uPerS: number;
}

/**
 * 1/l goes as the driver current, so a line through 1/l of each group tells the drift; the groups are averaged by
 * their precision. Take `tS` from the middle of the set. Null where no length was repeated at another time.
 */
export function driftFromRepeats(lengths: readonly RepeatedLength[]): RepeatDrift | null {
  let information = 0;
  let pull = 0;
  for (const group of new Set(lengths.map((one) => one.group))) {
    const repeats = lengths.filter((one) => one.group === group);
    const [first] = repeats;
    const line = weightedLine(
      repeats.map((one) => one.tS),
      repeats.map((one) => first.lengthCm / one.lengthCm),
      repeats.map((one) => one.uCm / first.lengthCm),
    );
    if (line === null) continue;
    information += line.uSlope ** -2;
    pull += (line.slope / line.intercept) * line.uSlope ** -2;
  }
  return information === 0 ? null : { perS: pull / information, uPerS: information ** -0.5 };
}
