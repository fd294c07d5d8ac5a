import { expect, test } from 'vitest';
import type { BenchState } from '../../bridge/emulate/wiring.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';
import { AT_REST, createStand } from './stand.ts';

const flags = (sample: SampleFrame) => ({
  contact: (sample.flags & 1) === 1,
  cell: (sample.flags >> 1) & 3,
  protectIn: (sample.flags & 8) !== 0,
  load: (sample.flags & 0x10) !== 0,
});

/** Runs a second of a bench that changes and answers with the samples. */
function record(bench: (tS: number) => BenchState, seconds = 1) {
  const stand = createStand({ bench });
  stand.board.run(seconds);
  return { stand, samples: stand.samples() };
}

const firstWhere = (samples: SampleFrame[], holds: (sample: SampleFrame) => boolean): number =>
  samples.find(holds)?.tUs ?? Number.POSITIVE_INFINITY;

test('contact is never delayed, and a burst that was not all on the wire is not in contact', () => {
  // On from 0.3025 s: in the middle of the burst that began at 0.300 s.
  const { samples } = record((tS) => ({ ...AT_REST, contact: tS >= 0.3025 && tS < 0.6025 }));
  const on = samples.filter((sample) => flags(sample).contact).map((sample) => sample.tUs);
  expect(on[0]).toBe(305_000);
  expect(on.at(-1)).toBe(595_000);
  expect(on).toHaveLength(59);
});

test('a contact that breaks for a millisecond within a burst is seen', () => {
  const { samples } = record((tS) => ({ ...AT_REST, contact: !(tS >= 0.4011 && tS < 0.4021) }));
  expect(samples.filter((sample) => !flags(sample).contact).map((sample) => sample.tUs)).toEqual([400_000]);
});

test('cell, load and row count once they have been steady for 20 ms', () => {
  const bouncing = (tS: number, at: number): boolean =>
    tS >= at && (tS > at + 0.03 || Math.floor(tS * 250) % 2 === 0);
  const { samples } = record((tS) => ({
    ...AT_REST,
    row: bouncing(tS, 0.4) ? 13 : 8,
    switches: { cell: bouncing(tS, 0.2) ? 2 : 1, protect: false, load: bouncing(tS, 0.6) },
  }));
  const at = [
    firstWhere(samples, (sample) => flags(sample).cell === 2),
    firstWhere(samples, (sample) => sample.row === 13),
    firstWhere(samples, (sample) => flags(sample).load),
  ];
  at.forEach((tUs, index) => {
    const steady = 230_000 + 200_000 * index;
    expect(tUs).toBeGreaterThanOrEqual(steady + 5_000);
    expect(tUs).toBeLessThanOrEqual(steady + 35_000);
  });
  // and never back
  expect(samples.filter((sample) => sample.tUs > at[0]).every((sample) => flags(sample).cell === 2)).toBe(
    true,
  );
  expect(new Set(samples.map((sample) => sample.row))).toEqual(new Set([8, 13]));
});

test('the protective resistance is believed in at once, out after 20 ms', () => {
  const { samples } = record((tS) => ({
    ...AT_REST,
    switches: { cell: 1, protect: tS >= 0.301 && tS < 0.601, load: false },
  }));
  const inside = samples.filter((sample) => flags(sample).protectIn).map((sample) => sample.tUs);
  expect(inside[0]).toBe(300_000);
  expect(inside.at(-1)).toBeGreaterThanOrEqual(615_000);
  expect(inside.at(-1)).toBeLessThanOrEqual(625_000);
});

test('both cells at once is not the same as no cell; a row beyond 20 is unknown', () => {
  const { samples } = record((tS) => ({
    ...AT_REST,
    row: tS < 0.6 ? 20 : 21,
    switches: { ...AT_REST.switches, cell: tS < 0.3 ? 3 : 0 },
  }));
  const at = (tUs: number) => samples.find((sample) => sample.tUs === tUs)!;
  expect(flags(at(290_000)).cell).toBe(3);
  expect(flags(at(590_000)).cell).toBe(0);
  expect(at(590_000).row).toBe(20);
  expect(at(900_000).row).toBe(0);
});

test('mark: one event a press, however it bounces', () => {
  const pressed = (tS: number) => tS >= 0.3 && tS < 0.5 && (tS > 0.32 || Math.floor(tS * 300) % 2 === 0);
  const { stand } = record((tS) => ({ ...AT_REST, mark: pressed(tS) || (tS > 0.7 && tS < 0.8) }), 1.2);
  const marks = stand.events('mark').map((event) => event.tUs);
  expect(marks).toHaveLength(2);
  expect(marks[0]).toBeGreaterThan(300_000);
  expect(marks[0]).toBeLessThan(350_000);
  expect(marks[1]).toBeGreaterThan(700_000);
});

test('what is not wired is left out: senses, flags, row and channels follow W, across a restart', () => {
  const stand = createStand({
    bench: () => ({ ...AT_REST, switches: { cell: 2, protect: true, load: true } }),
  });
  stand.board.run(0.1);
  stand.send('W,01,05\n');
  stand.board.run(0.2);
  stand.board.setPower(false);
  stand.board.run(0.1);
  stand.clear();
  stand.board.setPower(true);
  stand.board.run(0.3);
  expect(stand.frames().slice(0, 3)).toMatchObject([
    { type: 'H', senses: 1 },
    { type: 'C', index: 0, channel: 'gal' },
    { type: 'C', index: 1, channel: 'drv' },
  ]);
  expect(stand.samples().at(-1)).toMatchObject({ pos: null, row: 0, flags: 1 });
  expect(stand.samples().at(-1)!.drv).toBeGreaterThan(1000);
});
