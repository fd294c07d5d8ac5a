import { describe, expect, it } from 'vitest';
import { PointBuffer } from '../../web/app/point-buffer.ts';
import { plainNumbers } from '../../web/plots/axis.ts';
import { calmRange, nearRange, roundUp } from '../../web/plots/window.ts';
import { placeOf } from '../../web/show/deflection-band.tsx';
import { soundOf } from '../../web/show/tone.ts';

describe('the stretch that a plot shows', () => {
  it('is round, holds what was seen, and stays while it fits', () => {
    expect([0.3, 1, 1.2, 7, 0].map(roundUp)).toEqual([0.5, 1, 2, 10, 1]);
    const first = calmRange(3, null);
    expect(first).toEqual({ min: -5, max: 5 });
    expect(calmRange(4.5, first)).toBe(first);
    expect(calmRange(6, first)).toEqual({ min: -10, max: 10 });
    expect(calmRange(0.1, { min: -100, max: 100 })).toEqual({ min: -0.2, max: 0.2 });
  });

  it('moves with the null, not with every flicker of its place', () => {
    const near = nearRange(743.2, 1.5, null);
    expect(near).toEqual({ min: 741, max: 745 });
    expect(nearRange(743.3, 1.5, near)).toBe(near);
    expect(nearRange(700, 1.5, near)).toEqual({ min: 698, max: 702 });
  });

  it('is labelled with the decimals that its steps need', () => {
    expect(plainNumbers(null, [738, 738.5, 739])).toEqual(['738.0', '738.5', '739.0']);
    expect(plainNumbers(null, [0, 100, 1000])).toEqual(['0', '100', '1000']);
    expect(plainNumbers(null, [-0.5, -0.25, 0])).toEqual(['−0.50', '−0.25', '0.00']);
    expect(plainNumbers(null, [-0.02, 0, 0.02])).toEqual(['−0.02', '0.00', '0.02']);
  });
});

describe('the buffer of readings', () => {
  const points = (from: number, count: number) => ({
    tS: Array.from({ length: count }, (_, index) => from + index),
    along: Array.from({ length: count }, () => 1),
    currentUa: Array.from({ length: count }, () => 1),
    state: Array.from({ length: count }, () => 1),
  });

  it('never holds more than it may, and keeps the newest', () => {
    const buffer = new PointBuffer();
    const heard: { from: number; anew: boolean }[] = [];
    buffer.listen((news) => heard.push(news));
    for (let index = 0; index < 30; index += 1) buffer.add(points(index * 1000, 1000), false);
    expect(buffer.tS.length).toBeLessThanOrEqual(20_000);
    expect(buffer.tS.at(-1)).toBe(29_999);
    expect(buffer.along).toHaveLength(buffer.tS.length);
    expect(heard.some((news) => news.anew)).toBe(true);
    buffer.add(points(0, 3), true);
    expect(buffer.tS).toEqual([0, 1, 2]);
  });
});

describe('the room', () => {
  it('sees small deflections spread out and large ones on the scale', () => {
    expect(placeOf(0)).toBe(0);
    expect(placeOf(200)).toBe(1);
    expect(placeOf(-1e6)).toBe(-1);
    expect(placeOf(1)).toBeGreaterThan(0.25);
    expect(placeOf(-1)).toBe(-placeOf(1));
  });

  it('hears a pitch that rises with the deflection, and silence at the null or lifted', () => {
    expect(soundOf(0.1, true, 200).loudness).toBe(0);
    expect(soundOf(50, false, 200).loudness).toBe(0);
    expect(soundOf(null, true, 200).loudness).toBe(0);
    const pitches = [2, 10, 50, 200].map((currentUa) => soundOf(currentUa, true, 200).hz);
    expect(pitches).toEqual([...pitches].sort((a, b) => a - b));
    expect(soundOf(-50, true, 200)).toEqual(soundOf(50, true, 200));
    expect(pitches[3]).toBeLessThan(1200);
  });
});
