import { describe, expect, it } from 'vitest';
import { CountsWatch } from '../../bridge/bench-setup/counts-watch.ts';
import { sealPayload } from '../../firmware-protocol/encode.ts';

const introduced = () => {
  const watch = new CountsWatch();
  const hear = (payload: string) => watch.hear(sealPayload(payload).replace(/\r?\n$/, ''));
  hear('H,1,board-4,1.0,200,01');
  for (const channel of ['0,gal', '1,pos', '2,drv']) hear(`C,${channel},0,4095`);
  return { watch, hear };
};

describe('counts for setting a bench up', () => {
  it('says who the board is and what it reads, without a bench file', () => {
    const { watch, hear } = introduced();
    hear('S,1,5000,2050,1234,1002,3,01');
    expect(watch.counts()).toEqual({
      board: { name: 'board-4', firmware: '1.0', rateHz: 200 },
      channels: ['gal', 'pos', 'drv'],
      pos: 1234,
      gal: 2050,
      drv: 1002,
      contact: true,
      cell: null,
      row: null,
      saturated: false,
    });
  });

  it('answers the mean and the scatter of what was held', async () => {
    const { watch, hear } = introduced();
    const held = watch.hold(4, 5000);
    for (const [index, pos] of [1000, 1002, 1004, 1006].entries())
      hear(`S,${index},${index},2050,${pos},,0,01`);
    // Experimental standard deviation of 0, 2, 4, 6 by hand: sqrt((9 + 1 + 1 + 9) / 3).
    expect(await held).toEqual({
      samples: 4,
      pos: { mean: 1003, standardDeviation: Math.sqrt(20 / 3) },
      gal: { mean: 2050, standardDeviation: 0 },
      drv: null,
      contact: true,
      row: null,
      steady: true,
      galSaturated: false,
    });
  });

  it('knows a jockey that was held from one that was moving, lifted or put down', async () => {
    const { watch, hear } = introduced();
    const hold = async (samples: [pos: number, flags: string][], gal = 2050) => {
      const held = watch.hold(samples.length, 5000);
      for (const [index, [pos, flags]] of samples.entries())
        hear(`S,${index},${index},${gal},${pos},,0,${flags}`);
      return held;
    };
    const twenty = Array.from({ length: 20 }, (_, index) => index);
    // A hand that trembles by a count or two, and one that goes 2 counts a sample: 2.5 cm/s at 200 Hz and 40 counts a cm.
    expect(await hold(twenty.map((index) => [1000 + (index % 3), '01']))).toMatchObject({ steady: true });
    expect(await hold(twenty.map((index) => [1000 + 2 * index, '01']))).toMatchObject({ steady: false });
    expect(await hold(twenty.map((index) => [1000, index < 9 ? '00' : '01']))).toMatchObject({
      steady: false,
      contact: null,
    });
    expect(
      await hold(
        [
          [1000, '01'],
          [1000, '01'],
        ],
        4095,
      ),
    ).toMatchObject({ galSaturated: true });
  });

  it('does not wait for ever, and says where contact was not held', async () => {
    const { watch, hear } = introduced();
    const silent = watch.hold(10, 20);
    expect(await silent).toBeNull();
    const loose = watch.hold(2, 5000);
    hear('S,1,1,2050,1000,,0,01');
    hear('S,2,2,2050,1000,,0,00');
    expect((await loose)?.contact).toBeNull();
  });

  it('passes over garbage', () => {
    const { watch } = introduced();
    for (const line of ['', 'S,1', '\xff\xff', `S,1,5000,2050,1234,1002,3,01*0000`]) watch.hear(line);
    expect(watch.counts().pos).toBeNull();
  });
});
