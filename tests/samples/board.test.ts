import { describe, expect, it } from 'vitest';
import { Board } from '../../bridge/samples/board.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';

const frame = (parts: Partial<SampleFrame> = {}): SampleFrame => ({
  type: 'S',
  seq: 0,
  tUs: 0,
  gal: 2000,
  pos: 1000,
  drv: 500,
  row: 7,
  flags: 0,
  ...parts,
});

function board(senses: number, channels = ['gal', 'pos', 'drv']): Board {
  const made = new Board();
  made.introduce({ type: 'H', board: 'B-1', firmware: 'f', rateHz: 200, senses });
  channels.forEach((channel, index) => {
    made.introduce({ type: 'C', index, channel, minCount: 3, maxCount: 4090 });
  });
  return made;
}

describe('board', () => {
  it('reads samples once H and C have come', () => {
    expect(new Board().canRead(frame())).toBe(false);
    expect(board(0, ['gal', 'drv']).canRead(frame())).toBe(false);
    expect(board(0, ['gal', 'drv']).canRead(frame({ pos: null }))).toBe(true);
    expect(board(0).canRead(frame())).toBe(true);
  });

  it('takes a count at either end of its span, or beyond, as saturated', () => {
    const at = (gal: number) => board(0).read(frame({ gal }), 0, false).galSaturated;
    expect([2, 3, 4, 4089, 4090, 4095].map(at)).toEqual([-1, -1, 0, 0, 1, 1]);
    expect(board(0).read(frame({ pos: 4090 }), 0, false).posSaturated).toBe(true);
  });

  it('takes flags and row only of what is really wired', () => {
    const flags = 0x01 | (2 << 1) | 0x08 | 0x10;
    const read = (senses: number) => board(senses).read(frame({ flags }), 0, false);
    expect(read(0x1f)).toMatchObject({ contact: true, cell: 2, protect: true, load: true, row: 7 });
    expect(read(0)).toMatchObject({ contact: null, cell: null, protect: null, load: null, row: null });
    expect(read(0x02)).toMatchObject({ contact: null, cell: 2, protect: null, row: null });
  });

  it('goes on with the newest H and C lines', () => {
    const made = board(0x1f);
    made.introduce({ type: 'C', index: 0, channel: 'gal', minCount: 0, maxCount: 1023 });
    expect(made.read(frame({ gal: 1023 }), 0, false).galSaturated).toBe(1);
    expect(made.channels).toEqual(['gal', 'pos', 'drv']);
  });
});
