import type { Pass } from '../pass.ts';
import type { Shape } from './shape.ts';

/** The samples of a pass that can be fitted, as columns. */
export interface Window {
  t: Float64Array;
  /** Place on the scale in cm, lagged as the current lags. */
  x: Float64Array;
  /** Counts from zero, with the bending that the circuit is known to make taken out; a null stays where it is. */
  y: Float64Array;
  /** 1 for a sample in use, 0 for one left out as an outlier. */
  weight: Uint8Array;
  centreCm: number;
  halfCm: number;
}

const LEAST_SAMPLES = 12;

/** Null where a pass holds too few samples, or all at one place. */
export function windowOf(pass: Pass, lagged: Float64Array, zeroCounts: number, shape: Shape): Window | null {
  const indices = pass.fitted;
  if (indices.length < LEAST_SAMPLES) return null;
  const x = picked(lagged, indices);
  const [low, high] = reach(x);
  if (!(high > low)) return null;
  const middle = shape.straighten((low + high) / 2);
  const counts = picked(pass.y, indices);
  return {
    t: picked(pass.t, indices),
    x,
    y: counts.map((count, index) => ((count - zeroCounts) * shape.straighten(x[index])) / middle),
    weight: new Uint8Array(indices.length).fill(1),
    centreCm: (low + high) / 2,
    halfCm: (high - low) / 2,
  };
}

export function picked(column: Float64Array, indices: ArrayLike<number>): Float64Array {
  const out = new Float64Array(indices.length);
  for (let index = 0; index < out.length; index += 1) out[index] = column[indices[index]];
  return out;
}

function reach(x: Float64Array): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const place of x) {
    if (place < low) low = place;
    if (place > high) high = place;
  }
  return [low, high];
}

export function indicesInUse(window: Window): Int32Array {
  const used = new Int32Array(window.weight.length);
  let count = 0;
  for (let index = 0; index < window.weight.length; index += 1) {
    if (window.weight[index] === 0) continue;
    used[count] = index;
    count += 1;
  }
  return used.subarray(0, count);
}
