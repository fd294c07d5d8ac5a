/**
 * A tone whose pitch follows the deflection and which falls silent at the null, with the jockey lifted, and where no
 * readings come: a pitch that stands still would pass for a deflection that does.
 */

const LOWEST_HZ = 196;
const OCTAVES = 2.5;
const LOUDNESS = 0.08;
/** Deflections below this fraction of the largest are the null. */
const SILENT_BELOW = 0.004;
/** Without a reading for so long, in seconds, it fades. */
const PATIENCE_S = 0.5;
const FADE_S = 0.03;

export interface Sounding {
  hz: number;
  loudness: number;
}

/** Pitch and loudness of a deflection; `mostUa` is what the band shows at most. */
export function soundOf(currentUa: number | null, touching: boolean, mostUa: number): Sounding {
  const size = Math.min(1, Math.abs(currentUa ?? 0) / mostUa);
  if (!touching || currentUa === null || size < SILENT_BELOW) return { hz: LOWEST_HZ, loudness: 0 };
  const height = Math.log(size / SILENT_BELOW) / Math.log(1 / SILENT_BELOW);
  return { hz: LOWEST_HZ * 2 ** (OCTAVES * height), loudness: LOUDNESS * (0.35 + 0.65 * height) };
}

export class Tone {
  readonly #context = new AudioContext();
  readonly #oscillator = this.#context.createOscillator();
  readonly #gain = this.#context.createGain();

  constructor() {
    this.#gain.gain.value = 0;
    this.#oscillator.type = 'sine';
    this.#oscillator.connect(this.#gain).connect(this.#context.destination);
    this.#oscillator.start();
  }

  follow(sound: Sounding): void {
    const now = this.#context.currentTime;
    this.#oscillator.frequency.setTargetAtTime(sound.hz, now, 0.02);
    this.#gain.gain.cancelScheduledValues(now);
    this.#gain.gain.setTargetAtTime(sound.loudness, now, FADE_S);
    this.#gain.gain.setTargetAtTime(0, now + PATIENCE_S, FADE_S);
  }

  close(): void {
    void this.#context.close();
  }
}
