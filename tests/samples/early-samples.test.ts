import { expect, it } from 'vitest';
import { Board } from '../../bridge/samples/board.ts';
import { EarlySamples } from '../../bridge/samples/early-samples.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';

const frame = (seq: number): SampleFrame => ({
  type: 'S',
  seq,
  tUs: 0,
  gal: null,
  pos: null,
  drv: null,
  row: 0,
  flags: 0,
});

function releasedOf(count: number, tUs: (index: number) => number) {
  const early = new EarlySamples();
  for (let index = 0; index < count; index += 1) early.hold({ frame: frame(index), tUs: tUs(index) });
  const board = new Board();
  board.introduce({ type: 'H', board: 'B-1', firmware: 'f', rateHz: 200, senses: 0 });
  return early.release(board);
}

it('keeps the last 15 s', () => {
  const released = releasedOf(10_000, (index) => index * 5000);
  expect(released).toHaveLength(3001);
  expect(released.at(-1)?.frame.seq).toBe(9999);
});

it('keeps no more than so many of a clock that stands still, the latest of them', () => {
  const released = releasedOf(100_000, () => 7);
  expect(released).toHaveLength(16_384);
  expect(released.at(-1)?.frame.seq).toBe(99_999);
});
