import { describe, expect, test } from 'vitest';
import { createContact } from '../../bridge/simulate/contact.ts';
import { createHand, type HandOptions } from '../../bridge/simulate/hand.ts';
import { PROFILES, tremor } from '../../bridge/simulate/motion.ts';
import { createNeedle } from '../../bridge/simulate/needle.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { type Sight, type Step, scripted } from '../../bridge/simulate/steps.ts';

const OPTIONS: HandOptions = {
  start: { row: 1, scaleCm: 10 },
  switches: { keyClosed: true, cell: 1, protect: true, load: false, rheostatOhm: 5, leadOhm: 0 },
  tremorCm: 0,
  needle: { fullScaleUa: 40, dampingS: 0.1 },
  ammeterLeastCountMa: 5,
  pressS: 0.1,
  unsensed: [],
  load: { ohm: 10, uOhm: 0.1 },
};

const handOf = (steps: Step[], options: Partial<HandOptions> = {}) =>
  createHand(scripted(steps), { ...OPTIONS, ...options }, randomStream(1, 'hand'));

describe('moves', () => {
  const speeds = (profile: (x: number) => number) =>
    Array.from({ length: 1000 }, (_, index) => (profile((index + 1) / 1000) - profile(index / 1000)) * 1000);

  test.each(Object.entries(PROFILES))('%s starts at 0, ends at 1 and never goes back', (_, profile) => {
    expect(profile(0)).toBe(0);
    expect(profile(1)).toBeCloseTo(1, 12);
    for (const speed of speeds(profile)) expect(speed).toBeGreaterThanOrEqual(0);
  });

  test('the least-jerk move peaks at 1.875 times its mean speed (Flash and Hogan 1985; from memory)', () => {
    expect(Math.max(...speeds(PROFILES.smooth))).toBeCloseTo(1.875, 4);
  });

  test('a steady move keeps its speed for three quarters of its time', () => {
    const top = Math.max(...speeds(PROFILES.steady));
    const even = speeds(PROFILES.steady).filter((speed) => Math.abs(speed - top) < 1e-6 * top);
    expect(even.length).toBeGreaterThan(740);
  });

  test('tremor has the RMS in the scene', () => {
    const shake = tremor(0.02, randomStream(3, 'tremor'));
    const squares = Array.from({ length: 50_000 }, (_, index) => shake(index / 500) ** 2);
    expect(Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length) / 0.02).toBeCloseTo(
      1,
      1,
    );
  });
});

describe('the hand', () => {
  test('carries out steps in their time', () => {
    const hand = handOf([
      { do: 'move', to: { row: 2, scaleCm: 30 }, seconds: 2, profile: 'steady' },
      { do: 'press' },
      { do: 'wait', seconds: 1 },
      { do: 'lift' },
    ]);
    const at = (tS: number) => {
      const { row, scaleCm, pressed, finished } = hand.advance(tS, 0, 0);
      return { row, scaleCm: Number(scaleCm.toFixed(6)), pressed, finished };
    };
    expect(at(0)).toEqual({ row: 1, scaleCm: 10, pressed: false, finished: false });
    expect(at(0.9).row).toBe(1);
    expect(at(1)).toEqual({ row: 2, scaleCm: 20, pressed: false, finished: false });
    expect(at(2.05)).toEqual({ row: 2, scaleCm: 30, pressed: false, finished: false });
    expect(at(2.15).pressed).toBe(true);
    expect(at(3.15).pressed).toBe(true);
    expect(at(3.3)).toEqual({ row: 2, scaleCm: 30, pressed: false, finished: true });
  });

  test('turns knobs all the while, keys halfway, and does other things meanwhile', () => {
    const hand = handOf([
      { do: 'turn', switches: { rheostatOhm: 9, protect: false }, seconds: 2 },
      { do: 'wait', seconds: 2, meanwhile: [{ afterS: 1, switches: { keyClosed: false } }] },
    ]);
    hand.advance(0, 0, 0);
    expect(hand.advance(0.5, 0, 0).switches).toMatchObject({ rheostatOhm: 6, protect: true });
    expect(hand.advance(1.5, 0, 0).switches).toMatchObject({ rheostatOhm: 8, protect: false });
    expect(hand.advance(2.9, 0, 0).switches.keyClosed).toBe(true);
    expect(hand.advance(3.1, 0, 0).switches.keyClosed).toBe(false);
  });

  test('lets a lead work loose while the jockey moves, by a constant factor in a given time', () => {
    const hand = handOf([
      {
        do: 'move',
        to: { row: 1, scaleCm: 30 },
        seconds: 4,
        profile: 'steady',
        meanwhile: [{ afterS: 1, overS: 2, switches: { leadOhm: 1e6 - 1 } }],
      },
    ]);
    const leadOhm = [0, 0.9, 1, 2, 3, 3.5].map((tS) =>
      Math.round(hand.advance(tS, 0, 0).switches.leadOhm + 1),
    );
    expect(leadOhm).toEqual([1, 1, 1, 1000, 1e6, 1e6]);
  });

  test('says what the board does not sense: first how things stand, then every change', () => {
    const hand = handOf(
      [
        { do: 'wait', seconds: 1 },
        { do: 'turn', switches: { cell: 2, protect: false, load: true }, seconds: 0.1 },
        { do: 'move', to: { row: 3, scaleCm: 10 }, seconds: 1, profile: 'smooth' },
      ],
      { unsensed: ['cell', 'row', 'protect', 'load'] },
    );
    const events = [0, 0.5, 1.2, 3].map((tS) => [...hand.advance(tS, 0, 0).events]);
    expect(events).toEqual([
      [
        { kind: 'cell', cell: 1 },
        { kind: 'row', row: 1 },
        { kind: 'protect', in: true },
      ],
      [],
      [
        { kind: 'cell', cell: 2 },
        { kind: 'protect', in: false },
        { kind: 'load', in: true, ohm: 10, uOhm: 0.1 },
      ],
      [{ kind: 'row', row: 3 }],
    ]);
  });

  test('shows the mind the needle, the ammeter and the scale, each as far as an eye can tell', () => {
    const seen: Sight[] = [];
    function* curious(): Generator<Step, void, Sight> {
      seen.push(yield { do: 'wait', seconds: 1 });
      seen.push(yield { do: 'wait', seconds: 1 });
    }
    const hand = createHand(
      curious(),
      { ...OPTIONS, start: { row: 1, scaleCm: 10.0312 } },
      randomStream(1, 'hand'),
    );
    for (let tS = 0; tS < 2.1; tS += 0.01) hand.advance(tS, tS < 1.005 ? 7 : 900, 127.3);
    expect(seen[0].deflectionUa).toBeCloseTo(7, 2);
    expect(seen[1].deflectionUa).toBeCloseTo(40, 1);
    expect(seen[0].ammeterMa).toBe(125);
    expect(seen[0].scaleCm).toBeCloseTo(10.05, 9);
  });
});

test('the needle follows with its damping and stops at full scale', () => {
  const needle = createNeedle({ fullScaleUa: 40, dampingS: 0.1 });
  expect(needle.follow(0.1, 10)).toBeCloseTo(10 * (1 - Math.exp(-1)), 9);
  expect(needle.follow(100, 1e6)).toBeCloseTo(40, 9);
});

describe('contact', () => {
  const changesOf = (bounces: number, chatterPerS: number, seed: number) => {
    const contact = createContact(
      { bounces, bounceMs: 12, chatterPerS, chatterMs: 4 },
      randomStream(seed, 'contact'),
    );
    const changes: [boolean, number][] = [];
    const note = (touches: boolean, atS: number) => changes.push([touches, atS]);
    contact.change(true, 1);
    const down = contact.advance(2, note);
    contact.change(false, 2);
    const up = contact.advance(3, note);
    return { changes, down, up };
  };

  test('makes and breaks once without bounce', () => {
    expect(changesOf(0, 0, 1)).toEqual({
      changes: [
        [true, 1],
        [false, 2],
      ],
      down: true,
      up: false,
    });
  });

  test('bounces within its time and ends as the hand wants it, in every draw', () => {
    let bounced = 0;
    for (let seed = 0; seed < 200; seed += 1) {
      const { changes, down, up } = changesOf(3, 0, seed);
      expect([down, up]).toEqual([true, false]);
      for (const [, atS] of changes) expect(atS % 1).toBeLessThan(0.012);
      bounced += changes.length > 2 ? 1 : 0;
    }
    expect(bounced).toBeGreaterThan(100);
  });

  test('chatters while down, for moments', () => {
    const contact = createContact(
      { bounces: 0, bounceMs: 0, chatterPerS: 20, chatterMs: 4 },
      randomStream(5, 'contact'),
    );
    contact.change(true, 0);
    const changes: [boolean, number][] = [];
    for (let tS = 0; tS < 10; tS += 0.005)
      contact.advance(tS, (touches, atS) => changes.push([touches, atS]));
    const breaks = changes.filter(([touches]) => !touches);
    expect(breaks.length).toBeGreaterThan(120);
    expect(breaks.length).toBeLessThan(240);
  });
});
