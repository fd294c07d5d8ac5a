import { COMPARISON, type ScenePatch, sceneWith } from '../simulate/default-scene.ts';
import type { Scene } from '../simulate/scene.ts';

/** The students of the simulated class: one wire and one board each, the same two cells, different skill, and a few planted faults. */

export interface ClassStudent {
  name: string;
  scene: Scene;
  /** Calls the teacher at this board time in s; null for one that does not. */
  callsAtS: number | null;
}

interface Habit {
  /** What is planted at this bench. */
  patch: ScenePatch;
  callsAtS?: number;
}

/** Longer than anybody may sit without progress before the board says so. */
const LONG_PAUSE_S = 900;

const HABITS: Habit[] = [
  { patch: {} },
  // Hasty: few passes, a quick and unsteady hand.
  { patch: { hand: { tremorCm: 0.03 }, task: { ...COMPARISON, passes: 2, sweepSpeedCmPerS: 5 } } },
  // A cell put in the wrong way round.
  { patch: { apparatus: { faults: { cellsReversed: [2] } } } },
  // Careful, by taps.
  { patch: { task: { ...COMPARISON, fine: 'taps', taps: 12 } } },
  // Writes its first length down and gets no further.
  { patch: { task: { ...COMPARISON, writeDownS: LONG_PAUSE_S } } },
  // Asks for help.
  { patch: { task: { ...COMPARISON, order: [1, 2, 2, 1] } }, callsAtS: 60 },
  // The board's cable is pulled out.
  { patch: { board: { line: { unplugged: [{ fromS: 75, toS: 1e6 }] } } } },
  // A driver cell that is run down.
  { patch: { apparatus: { driver: { emfV: 1.25 } } } },
];

const numbered = (index: number): string => String(index + 1);

/** @param seed the same seed gives the same class */
export function classOf(count: number, seed: number): ClassStudent[] {
  return Array.from({ length: count }, (_, index) => {
    const { patch, callsAtS = null } = HABITS[index % HABITS.length];
    const own: ScenePatch = {
      seed: 100 * seed + index,
      bench: { name: `Bench ${numbered(index)}` },
      about: { by: [`student ${numbered(index)} (invented)`] },
      board: { name: `SIM-${numbered(index).padStart(2, '0')}` },
    };
    const scene = sceneWith({ ...patch, ...own, board: { ...patch.board, ...own.board } });
    return { name: `bench-${numbered(index)}`, scene, callsAtS };
  });
}
