/** Mains hum: is there a line near 50 or 60 Hz in these residuals, and where exactly? */

export interface Hum {
  hz: number;
  amplitude: number;
}

const BANDS = [50, 60];
const HALF_BAND_HZ = 0.8;
/** Peak power, in units of its mean in white noise, that hum must reach: a chance of about 1 in 2,000 a search. */
const EARNED = 12;

/** Steps that differ by less than this keep the rotation, corrected to first order: sampling jitter of microseconds. */
const JITTER_S = 3e-5;

/** Sums of r·cos and r·sin at a frequency. Neighbouring samples mostly lie one period apart, so the rotation is kept. */
function lineSums(t: Float64Array, r: Float64Array, hz: number): { re: number; im: number } {
  const omega = 2 * Math.PI * hz;
  let cos = Math.cos(omega * t[0]);
  let sin = Math.sin(omega * t[0]);
  let step = -1;
  let stepCos = 1;
  let stepSin = 0;
  let re = r[0] * cos;
  let im = r[0] * sin;
  for (let index = 1; index < t.length; index += 1) {
    const gap = t[index] - t[index - 1];
    if (Math.abs(gap - step) > JITTER_S) {
      step = gap;
      stepCos = Math.cos(omega * step);
      stepSin = Math.sin(omega * step);
    }
    const off = omega * (gap - step);
    const turnedCos = cos * stepCos - sin * stepSin;
    const turnedSin = sin * stepCos + cos * stepSin;
    cos = turnedCos - off * turnedSin;
    sin = turnedSin + off * turnedCos;
    re += r[index] * cos;
    im += r[index] * sin;
  }
  return { re, im };
}

const power = (t: Float64Array, r: Float64Array, hz: number): number => {
  const { re, im } = lineSums(t, r, hz);
  return re * re + im * im;
};

/**
 * Looks for hum in residuals `r` at times `t` (seconds, growing). Null where no line stands out of the noise,
 * or where the stretch is too short to tell (under 0.2 s or 16 samples). `near` is hum found in the same samples
 * before: it is only looked at more closely.
 */
export function findHum(t: Float64Array, r: Float64Array, near: Hum | null = null): Hum | null {
  const n = t.length;
  const spanS = n > 1 ? t[n - 1] - t[0] : 0;
  if (n < 16 || spanS < 0.2) return null;
  const stepHz = Math.min(0.4, 0.4 / spanS);
  const best = near === null ? strongest(t, r, stepHz) : { hz: near.hz, power: power(t, r, near.hz) };
  const total = r.reduce((sum, value) => sum + value * value, 0);
  const rest = Math.max(total - (2 * best.power) / n, 1e-3 * total);
  if (!(best.power / rest > EARNED)) return null;
  const hz = refine(t, r, best.hz, stepHz);
  return { hz, amplitude: (2 * Math.sqrt(power(t, r, hz))) / n };
}

function strongest(t: Float64Array, r: Float64Array, stepHz: number): { hz: number; power: number } {
  let best = { hz: 0, power: 0 };
  for (const band of BANDS) {
    for (let hz = band - HALF_BAND_HZ; hz <= band + HALF_BAND_HZ; hz += stepHz) {
      const here = power(t, r, hz);
      if (here > best.power) best = { hz, power: here };
    }
  }
  return best;
}

/** Top of the parabola through the power at three neighbours, narrowed twice. */
function refine(t: Float64Array, r: Float64Array, startHz: number, startStepHz: number): number {
  let hz = startHz;
  let step = startStepHz / 2;
  for (let round = 0; round < 2; round += 1) {
    const before = power(t, r, hz - step);
    const here = power(t, r, hz);
    const after = power(t, r, hz + step);
    const bend = before - 2 * here + after;
    if (bend >= 0) return hz;
    hz += Math.max(-step, Math.min(step, (0.5 * step * (before - after)) / bend));
    step /= 4;
  }
  return hz;
}
