import { expect, test } from 'vitest';
import { createStand } from './stand.ts';

/** One cycle an instruction, so that every cycle is hit. */
const NOTHING_BUT_NOP = new Uint16Array(0x4000);

// 150, 300, 600 … cycles of 16 MHz, each in seconds and one binary digit more: once waited for without end.
test.each([9.375000000000001e-6, 1.8750000000000002e-5, 7.500000000000001e-5, 1.5000000000000001e-4])(
  'runs to %d s, which lies a rounding beyond a whole cycle',
  (seconds) => {
    const { board } = createStand({ program: NOTHING_BUT_NOP });
    board.run(seconds);
    expect(board.benchS).toBeCloseTo(seconds, 12);
  },
);
