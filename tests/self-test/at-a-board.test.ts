import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterEach, expect, test } from 'vitest';
import { type BoardAtPort, openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { createFrontEnd, QUIET_FRONT_END } from '../../bridge/emulate/front-end.ts';
import type { BenchState } from '../../bridge/emulate/wiring.ts';
import { type Operator, runSelfTest } from '../../bridge/self-test/run-self-test.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { builtTenwire } from '../cli/tenwire.ts';

/** The self-test led through at the emulated board, which runs the recorded firmware, by somebody who does what it says. */

let at: BoardAtPort | null = null;
let folder: string | null = null;
afterEach(async () => {
  await at?.close();
  if (folder !== null) rmSync(folder, { recursive: true });
  at = null;
  folder = null;
});

const RESTING: BenchState = {
  galvanometerUa: 0,
  driverMa: 0,
  scaleCm: 0,
  row: 0,
  contact: false,
  jumps: [],
  switches: { cell: 0, protect: true, load: false },
};

/** Currents of the dummy source by hand: 2.5 V over 51 kΩ; 5 V over 201 Ω. */
const ONE_WAY_UA = (1e6 * 2.5) / 51_000;
const DRIVER_MA = 5000 / 201;

interface Bench {
  state: BenchState;
  /** Changes with the board's time, after an instruction. */
  motion: ((sinceS: number) => Partial<BenchState>) | null;
  beganS: number | null;
  /** How long the motion has gone on, by the board's clock: a busy machine runs it slower. */
  sinceS: number;
}

/** The current goes off and on again, four times a second; each time at another moment of a sample. */
const cutting = (sinceS: number): Partial<BenchState> => ({
  galvanometerUa: (sinceS * 1.937) % 1 < 0.6 ? ONE_WAY_UA : 0,
});

const doing: readonly [RegExp, Partial<BenchState> | ((sinceS: number) => Partial<BenchState>)][] = [
  [/take everything off/, {}],
  [/clip R34 .* between \+ supply and P; then/, { galvanometerUa: ONE_WAY_UA }],
  [/R34 between ground and P/, { galvanometerUa: -ONE_WAY_UA }],
  [/clip R35 .* and R36/, { galvanometerUa: 7500 }],
  [/move R35/, { driverMa: DRIVER_MA }],
  [/5 times/, cutting],
  [/slide it slowly/, (sinceS) => ({ scaleCm: Math.min(100, 12 * sinceS) })],
  [/press the jockey/, { contact: true }],
  [/mark button/, { mark: true }],
  [/to cell 1/, { switches: { cell: 1, protect: true, load: false } }],
  [/to cell 2/, { switches: { cell: 2, protect: true, load: false } }],
  [/short the protective/, { switches: { cell: 0, protect: false, load: false } }],
  [/load key/, { switches: { cell: 0, protect: true, load: true } }],
];

/** How long somebody takes from reading to doing: the switch is seen open first. */
const READING_MS = 150;
const SLIDING_S = 9;

function handsAt(bench: Bench): Operator {
  const next: { at: Partial<BenchState> | ((sinceS: number) => Partial<BenchState>); asked: string } = {
    at: {},
    asked: '',
  };
  const carryOut = () => {
    bench.motion = typeof next.at === 'function' ? next.at : null;
    bench.beganS = null;
    bench.sinceS = 0;
    bench.state = { ...RESTING, ...(typeof next.at === 'function' ? {} : next.at) };
  };
  let asksForSwitch = false;
  let answers = 0;
  return {
    tell(line) {
      const row = /over row (\d+)/.exec(line);
      const known = doing.find(([pattern]) => pattern.test(line));
      next.at = row !== null ? { row: Number(row[1]) } : (known?.[1] ?? {});
      next.asked = line;
      asksForSwitch = /Enter if nothing happens/.test(line);
      answers = 0;
      bench.state = RESTING;
      bench.motion = null;
      if (asksForSwitch) setTimeout(carryOut, READING_MS);
    },
    async done(signal) {
      answers += 1;
      if (answers === 1 && !asksForSwitch) return carryOut();
      // The second answer ends the slide; all else ends by what the board says.
      const slides = /slide it slowly/.test(next.asked);
      while (!signal?.aborted && !(slides && bench.sinceS > SLIDING_S)) await sleep(50);
      if (signal?.aborted) throw signal.reason;
    },
  };
}

async function soundBoard(): Promise<{ path: string; bench: Bench }> {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-self-test-'));
  const bench: Bench = { state: RESTING, motion: null, beganS: null, sinceS: 0 };
  const opening = await openBoardAtPort({
    bench: {
      advance(tS) {
        if (bench.motion === null) return bench.state;
        bench.beganS ??= tS;
        bench.sinceS = tS - bench.beganS;
        return { ...bench.state, ...bench.motion(bench.sinceS) };
      },
    },
    frontEnd: createFrontEnd(INVENTED_BENCH, QUIET_FRONT_END),
    path: join(folder, 'board'),
    speed: 1,
  });
  if (!opening.ok) throw new Error(opening.text);
  at = opening.at;
  return { path: at.path, bench };
}

test('a sound board passes each step', { timeout: 120_000 }, async () => {
  const { path, bench } = await soundBoard();
  const tested = await runSelfTest({ path, baudRate: 115_200, rows: 10 }, handsAt(bench));
  if (!tested.ok) throw new Error(tested.fault.text);
  const { report } = tested;
  expect(report.checks.filter(({ passed }) => !passed)).toEqual([]);
  expect(report.passed).toBe(true);
  expect(report.leftOut).toEqual([]);
  // Eight of the galvanometer's and its lag, two of the driver's, three of the slide's, three of dither; six keys and ten rows.
  expect(report.checks).toHaveLength(31);
});

test('the command asks for the first step, and ends where nobody answers', { timeout: 60_000 }, async () => {
  const { path } = await soundBoard();
  const running = builtTenwire().start(['check-board', '--self-test', '--port', path]);
  expect(await running.ended).toBe(1);
  expect(running.err()).toMatch(/> take everything off the terminals A, P and driver.*\n.*given up/);
});

test('a port that is not there is told as everywhere', () => {
  const { code, err } = builtTenwire().run(['check-board', '--self-test', '--port', '/dev/ttyNOT9']);
  expect(code).toBe(1);
  expect(err).toContain('/dev/ttyNOT9');
});
