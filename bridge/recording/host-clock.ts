import { MOST_MS } from './record.ts';

/**
 * Host milliseconds since a recording began, for its lines. Counted by the monotonic clock, which nobody sets.
 * A recording taken up again goes on where the wall clock says: by its `startedUtc` if that makes sense, else by
 * when the file was last written, but never before its last line.
 */
export function hostClock(startMs = 0, now: () => number = () => performance.now()): () => number {
  const origin = now() - startMs;
  return () => now() - origin;
}

export interface EarlierRun {
  /** ms of the last record. */
  lastMs: number;
  /** `startedUtc` of the last `about` event; null where there is none. */
  startedUtc: string | null;
  /** When the file was last written to, in ms since 1970. */
  lastWrittenMs: number | null;
}

/** Where the clock of a recording stands that is taken up again at `nowMs` (since 1970). */
export function resumedMs(earlier: EarlierRun, nowMs: number): number {
  const sinceStart = earlier.startedUtc === null ? Number.NaN : nowMs - Date.parse(earlier.startedUtc);
  if (sinceStart >= earlier.lastMs && sinceStart <= MOST_MS) return sinceStart;
  const idle = earlier.lastWrittenMs === null ? 0 : Math.max(0, nowMs - earlier.lastWrittenMs);
  return earlier.lastMs + idle;
}
