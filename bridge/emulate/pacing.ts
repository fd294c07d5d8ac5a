import type { EmulatedBoard } from './emulated-board.ts';

const TURN_MS = 1;
/** Behind by more than this, the board's time slips: a computer too busy must not be made busier. */
const MOST_BEHIND_MS = 250;
/** Emulated at most in one turn, so that everything else gets its turn, too. */
const MOST_AT_ONCE_MS = 20;

export interface Pace {
  stop(): void;
}

/**
 * Runs a board `speed` times as fast as the wall clock. An ATmega328P is emulated some four times faster than it
 * runs, on one core; beyond that the board's time slips. `afterTurn` is called when some of it has run.
 */
export function keepPace(board: EmulatedBoard, speed: number, afterTurn: () => void): Pace {
  let doneMs = performance.now();
  const timer = setInterval(() => {
    const nowMs = performance.now();
    doneMs = Math.max(doneMs, nowMs - MOST_BEHIND_MS);
    const runMs = Math.min(nowMs - doneMs, MOST_AT_ONCE_MS);
    board.run((runMs * speed) / 1000);
    doneMs += runMs;
    afterTurn();
  }, TURN_MS);
  return { stop: () => clearInterval(timer) };
}
