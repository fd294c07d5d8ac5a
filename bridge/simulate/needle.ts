/** The needle that the student watches: damped, with a stop at either end. */
export interface Needle {
  /** Moves the needle on to a time, under a current in microamperes; returns where it stands. */
  follow(tS: number, currentUa: number): number;
}

export interface NeedleOptions {
  fullScaleUa: number;
  /** Time constant of a well-damped needle. */
  dampingS: number;
}

export function createNeedle(options: NeedleOptions): Needle {
  let atS = 0;
  let standsUa = 0;
  const { fullScaleUa, dampingS } = options;
  return {
    follow(tS, currentUa) {
      // A needle on its stop comes off it at once, so the drive is cut off before the damping.
      const driveUa = Math.max(-fullScaleUa, Math.min(fullScaleUa, currentUa));
      standsUa += (driveUa - standsUa) * (1 - Math.exp(-(tS - atS) / dampingS));
      atS = tS;
      return standsUa;
    },
  };
}
