/** Seeded noise of the outside writer: shares nothing with the program's own. */

export type Uniform = () => number;

/** Marsaglia's 32-bit xorshift (2003), warmed up. Numbers in 0 to 1, ends left out. */
export function uniformFrom(seed: number): Uniform {
  let state = (Math.imul(seed, 2654435761) ^ 0x9e3779b9) >>> 0 || 1;
  const next = () => {
    state ^= state << 13;
    state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return (state + 0.5) / 4294967296;
  };
  for (let turn = 0; turn < 20; turn += 1) next();
  return next;
}

/** Standard normal numbers (Box and Muller 1958). */
export function normalOf(uniform: Uniform): () => number {
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

/**
 * An error that depends on the place alone, covariance u²·exp(-(d/c)²): a sum of cosines whose wave numbers are
 * drawn from that covariance's spectrum, a normal distribution of standard deviation √2/c.
 */
export function smoothError(uCm: number, correlationCm: number, uniform: Uniform): (x: number) => number {
  const normal = normalOf(uniform);
  const waves = Array.from({ length: 80 }, () => ({
    k: (Math.SQRT2 / correlationCm) * normal(),
    phase: 2 * Math.PI * uniform(),
  }));
  const size = uCm * Math.sqrt(2 / waves.length);
  return (x) => size * waves.reduce((sum, { k, phase }) => sum + Math.cos(k * x + phase), 0);
}

/** Slowest and fastest time constant of `flickerNoise` in s; they go by factors of four. */
const FLICKER_TAUS_S = [0.01, 0.04, 0.16, 0.64, 2.56, 10.24, 40.96];

/**
 * Noise whose power goes as one over the frequency, from about 0.004 to 16 Hz: a sum of first-order processes whose time constants
 * are evenly spaced on a logarithmic scale and whose variances are equal.
 * @param size standard deviation of the whole
 */
export function flickerNoise(size: number, uniform: Uniform): (stepS: number) => number {
  const normal = normalOf(uniform);
  const each = size / Math.sqrt(FLICKER_TAUS_S.length);
  const parts = FLICKER_TAUS_S.map(() => each * normal());
  return (stepS) => {
    FLICKER_TAUS_S.forEach((tauS, index) => {
      const kept = Math.exp(-stepS / tauS);
      parts[index] = kept * parts[index] + each * Math.sqrt(1 - kept * kept) * normal();
    });
    return parts.reduce((sum, part) => sum + part, 0);
  };
}
