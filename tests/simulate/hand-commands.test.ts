import { describe, expect, it } from 'vitest';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { HandCommands } from '../../bridge/simulate/hand-commands.ts';
import { moments } from '../../bridge/simulate/moments.ts';
import type { Step } from '../../bridge/simulate/steps.ts';

const switches = {
  keyClosed: true,
  cell: 1 as const,
  protect: true,
  load: false,
  rheostatOhm: 4,
  leadOhm: 0,
};
const paces = { sweepCmPerS: 2.5, carryCmPerS: 50, rowLengthCm: 100 };
const commands = () => new HandCommands({ row: 1, scaleCm: 50 }, switches, paces);

function take(hand: HandCommands, count: number): Step['do'][] {
  const steps = hand[Symbol.iterator]();
  return Array.from({ length: count }, () => (steps.next().value as Step).do);
}

describe('a hand that a person moves', () => {
  it('waits in short steps while nothing is ordered', () => {
    const [first] = commands();
    expect(first).toEqual({ do: 'wait', seconds: 0.02 });
  });

  it('moves lifted at the pace of carrying, and down at the pace of a sweep', () => {
    const hand = commands();
    const steps = hand[Symbol.iterator]();
    hand.order({ to: { row: 1, scaleCm: 75 } });
    expect(steps.next().value).toMatchObject({ do: 'move', seconds: 0.5, profile: 'smooth' });
    hand.order({ pressed: true });
    expect(steps.next().value).toEqual({ do: 'press' });
    hand.order({ to: { row: 1, scaleCm: 70 } });
    expect(steps.next().value).toMatchObject({ do: 'move', seconds: 2, profile: 'steady' });
    expect(hand.state).toMatchObject({ pressed: true, busy: true, place: { row: 1, scaleCm: 70 } });
    expect(steps.next().value).toMatchObject({ do: 'wait' });
    expect(hand.state.busy).toBe(false);
  });

  it('lifts the jockey to change rows and sets it down again', () => {
    const hand = commands();
    hand.order({ pressed: true });
    hand.order({ to: { row: 4, scaleCm: 20 } });
    expect(take(hand, 3)).toEqual(['move', 'press', 'wait']);
    hand.order({ to: { row: 5, scaleCm: 20 } });
    expect(take(hand, 4)).toEqual(['lift', 'move', 'press', 'wait']);
  });

  it('turns keys one after the other, before it moves', () => {
    const hand = commands();
    hand.order({ switches: { cell: 2 }, to: { row: 2, scaleCm: 1 } });
    hand.order({ switches: { protect: false } });
    expect(take(hand, 3)).toEqual(['turn', 'turn', 'move']);
    expect(hand.state.switches).toMatchObject({ cell: 2, protect: false });
  });

  it('works a simulated bench: what is ordered is what happens', () => {
    const hand = commands();
    const task = {
      kind: 'script' as const,
      procedure: 'emf-comparison' as const,
      start: switches,
      steps: hand,
    };
    const run = moments(sceneWith({ task }));
    const physicalAfter = (seconds: number) => {
      let last = null;
      for (let index = 0; index < seconds * 200; index += 1) last = run.next().value?.physical ?? last;
      return last;
    };
    expect(physicalAfter(0.5)).toMatchObject({ contact: false, row: 1 });
    hand.order({ to: { row: 7, scaleCm: 30 }, pressed: true });
    const there = physicalAfter(4);
    expect(there).toMatchObject({ contact: true, row: 7 });
    expect(there?.scaleCm).toBeCloseTo(30, 0);
    const withProtection = Math.abs(there?.galvanometerUa ?? 0);
    hand.order({ switches: { protect: false } });
    const without = Math.abs(physicalAfter(0.5)?.galvanometerUa ?? 0);
    expect(without).toBeGreaterThan(5 * withProtection);
    hand.order({ switches: { keyClosed: false } });
    expect(physicalAfter(0.5)?.driverMa).toBeCloseTo(0, 6);
  });
});
