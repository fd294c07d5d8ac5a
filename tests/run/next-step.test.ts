import { describe, expect, it } from 'vitest';
import { nextStep } from '../../bridge/run/next-step.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { sampleNull, sampleView } from '../serve/sample-view.ts';

const step = (changes: Partial<RunView>) => nextStep(sampleView(changes));
const { labels } = sampleView();
const none = { nulls: [], sets: [], guidance: null, findings: [] };

describe('the next thing to do', () => {
  it('begins with the board, its link and its bench', () => {
    expect(step({ board: null })).toEqual({ do: 'wait-for-board' });
    expect(step({ linkUp: false })).toEqual({ do: 'mend-link' });
    expect(step({ bench: null })).toEqual({ do: 'give-bench' });
  });

  it('puts a fault of the present set and cell before everything else, and of no other', () => {
    const stop = {
      code: 'cell-reversed',
      severity: 'stop',
      set: 1,
      cell: 1,
      text: 'Turn cell 1 round.',
    } as const;
    expect(step({ findings: [stop] })).toMatchObject({ do: 'put-right', text: 'Turn cell 1 round.' });
    expect(step({ findings: [{ ...stop, cell: 2 }] }).do).not.toBe('put-right');
    expect(step({ findings: [{ ...stop, set: 3 }] }).do).not.toBe('put-right');
    expect(step({ findings: [{ ...stop, severity: 'warn' }] }).do).not.toBe('put-right');
  });

  it('leads from the ends over the coarse null to the fine one', () => {
    const protectedIn = { ...labels, protect: { value: true, from: 'board' as const } };
    expect(step(none)).toEqual({ do: 'tap-ends', cell: 1 });
    const guess = {
      lengthCm: 700,
      withinCm: 20,
      row: 8,
      scaleCm: 100,
      moveCm: null,
      basis: 'voltmeter' as const,
    };
    expect(step({ ...none, guidance: guess, labels: protectedIn })).toMatchObject({ do: 'hunt', row: 8 });
    const coarse = { ...guess, basis: 'coarse-null' as const };
    expect(step({ ...none, guidance: coarse, labels: protectedIn })).toMatchObject({ do: 'protect-out' });
    expect(step({ ...none, guidance: coarse })).toMatchObject({ do: 'sweep' });
    expect(step({ ...none, labels: { ...labels, row: { value: null, from: 'unknown' } } })).toEqual({
      do: 'say-row',
    });
  });

  it('goes to the other cell, then to another current, then to the end', () => {
    const first = sampleNull({ id: 'n1', lengthCm: 743.21 });
    expect(step({ nulls: [first], sets: [] })).toEqual({ do: 'choose-cell', cell: 2, set: 1 });
    const { sets } = sampleView();
    const both = step({});
    // The first set lies at 0.743 of the wire; 0.95 is the share farthest from it: 100.2 mA * 743.21 / 950.
    expect(both).toMatchObject({ do: 'change-rheostat', set: 2, towardMa: expect.closeTo(78.388, 2) });
    const four = [1, 2, 3, 4].map((set) => ({ ...sets[0], set })) as RunView['sets'];
    expect(step({ sets: four })).toEqual({ do: 'finish' });
  });

  it('asks for the key where the driver current says that it is open', () => {
    const now = {
      atS: 1,
      contact: false,
      scaleCm: 1,
      lengthCm: 1,
      currentUa: 0,
      saturated: false,
      driverMa: 0.1,
    };
    expect(step({ ...none, now })).toEqual({ do: 'close-key' });
    expect(step({ ...none, now: { ...now, driverMa: 90 } }).do).not.toBe('close-key');
    expect(step({ ...none, now, wireCurrentS: null }).do).not.toBe('close-key');
  });
});
