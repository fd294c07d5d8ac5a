import { describe, expect, it } from 'vitest';
import { message } from '../../bridge/messages/catalogue.ts';
import { nextStep } from '../../bridge/run/next-step.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { sampleComparison, sampleNull, sampleSet, sampleView } from '../serve/sample-view.ts';

const step = (changes: Partial<RunView>) => nextStep(sampleView(changes));
const { labels } = sampleView();
const none = { nulls: [], work: sampleComparison([]), guidance: null, findings: [] };

const NO_RESISTANCE: RunView['work'] = { procedure: 'internal-resistance', sets: [], outcome: null };

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
      ...message('cell-back'),
    } as const;
    expect(step({ findings: [stop] })).toMatchObject({ do: 'put-right', text: 'this cell is reversed' });
    expect(step({ findings: [{ ...stop, cell: 2 }] }).do).not.toBe('put-right');
    expect(step({ findings: [{ ...stop, set: 3 }] }).do).not.toBe('put-right');
    expect(step({ findings: [{ ...stop, severity: 'warn' }] }).do).not.toBe('put-right');
  });

  it('leads from the ends over the coarse null to the fine one', () => {
    const protectedIn = { ...labels, protect: { value: true, from: 'board' as const } };
    expect(step({ ...none, endsTried: [] })).toMatchObject({
      do: 'tap-end',
      end: 'A',
      row: 1,
      scaleCm: 0,
      protect: false,
    });
    const onlyA = [{ cell: 1, a: true, b: false }];
    // Ten rows to and fro from the left: B lies at the left end of row 10.
    expect(step({ ...none, endsTried: onlyA })).toMatchObject({
      do: 'tap-end',
      end: 'B',
      row: 10,
      scaleCm: 0,
    });
    expect(step(none)).toEqual({ do: 'protect-in', say: false });
    expect(step({ ...none, labels: protectedIn })).toMatchObject({ do: 'hunt', row: null });
    const guess = {
      lengthCm: 700,
      withinCm: 20,
      row: 8,
      scaleCm: 100,
      moveCm: null,
      basis: 'voltmeter' as const,
    };
    expect(step({ ...none, guidance: guess, labels: protectedIn })).toMatchObject({ do: 'hunt', row: 8 });
    expect(step({ ...none, guidance: guess })).toEqual({ do: 'protect-in', say: false });
    const coarse = { ...guess, basis: 'coarse-null' as const };
    expect(step({ ...none, guidance: coarse, labels: protectedIn })).toMatchObject({ do: 'protect-out' });
    expect(step({ ...none, guidance: coarse })).toMatchObject({ do: 'sweep' });
    expect(step({ ...none, labels: { ...labels, row: { value: null, from: 'unknown' } } })).toEqual({
      do: 'say-row',
    });
  });

  it('measures a cell open first, then loaded, then with another load', () => {
    const internal = { ...none, work: NO_RESISTANCE };
    const named = { ...labels, load: { ...labels.load, value: false, ohm: 10 } };
    const loaded = { ...labels, load: { ...named.load, value: true } };
    const open = sampleNull({ id: 'n1', lengthCm: 743 });
    const shut = sampleNull({ id: 'n2', lengthCm: 700, load: true, loadOhm: 10 });
    expect(step({ ...internal, labels: loaded })).toEqual({ do: 'load', in: false, ohm: 10 });
    expect(step({ ...internal, nulls: [open] })).toEqual({ do: 'say-load' });
    expect(step({ ...internal, nulls: [open], labels: named })).toEqual({ do: 'load', in: true, ohm: 10 });
    // A null under a load that nobody had named gives no r: it is measured again.
    const unnamed = sampleNull({ id: 'n2', lengthCm: 700, load: true, loadOhm: null });
    expect(step({ ...internal, nulls: [open, unnamed], labels: loaded }).do).not.toBe('change-load');
    expect(step({ ...internal, nulls: [open, shut], labels: loaded })).toEqual({ do: 'change-load', set: 2 });
  });

  it('sends a hand under load to hunt afresh: the null on open circuit is another one', () => {
    const internal = { ...none, work: NO_RESISTANCE };
    const loaded = { ...labels, load: { ...labels.load, value: true, ohm: 10 } };
    const open = sampleNull({ id: 'n1', lengthCm: 743 });
    const guidance = {
      lengthCm: 706,
      withinCm: 37,
      row: 8,
      scaleCm: 94,
      moveCm: null,
      basis: 'voltmeter' as const,
    };
    const under = (protect: boolean) =>
      step({
        ...internal,
        guidance,
        nulls: [open],
        labels: { ...loaded, protect: { value: protect, from: 'board' as const } },
      });
    expect(under(false)).toEqual({ do: 'protect-in', say: false });
    expect(under(true)).toMatchObject({ do: 'hunt', row: 8 });
  });

  it('has lengths typed where the board has no position sensor, and asks for no tap that it could not place', () => {
    const board = { ...sampleView().board, channels: ['gal'] } as RunView['board'];
    const plain = { ...none, board, endsTried: [] };
    const protect = (value: boolean, from: 'operator' | 'unknown') => ({
      ...labels,
      protect: { value, from },
    });
    expect(step({ ...plain, labels: protect(false, 'unknown') })).toEqual({ do: 'protect-in', say: true });
    expect(step({ ...plain, labels: protect(true, 'operator') })).toMatchObject({
      do: 'hunt-by-eye',
      cell: 1,
      say: true,
    });
    const row = { value: null, from: 'unknown' as const };
    expect(step({ ...plain, labels: { ...protect(false, 'operator'), row } })).toMatchObject({
      do: 'type-length',
      cell: 1,
    });
  });

  it('asks for an event for what the board does not sense', () => {
    const cell = { value: 1, from: 'operator' as const };
    const first = sampleNull({ id: 'n1', lengthCm: 743.21 });
    expect(step({ nulls: [first], work: none.work, labels: { ...labels, cell } })).toMatchObject({
      cell: 2,
      say: true,
    });
    const protect = { value: true, from: 'operator' as const };
    expect(step({ ...none, endsTried: [], labels: { ...labels, protect } })).toMatchObject({
      do: 'tap-end',
      say: true,
    });
  });

  it('asks for the voltmeter before anything is touched, where the bench file lacks it', () => {
    const { driver: _, ...unread } = sampleView().bench as NonNullable<RunView['bench']>;
    expect(step({ ...none, endsTried: [], bench: unread })).toEqual({ do: 'read-voltages' });
    expect(step({ ...none, bench: unread }).do).not.toBe('read-voltages');
  });

  it('goes to the other cell, then to another current, then to the end', () => {
    const first = sampleNull({ id: 'n1', lengthCm: 743.21 });
    expect(step({ nulls: [first], work: none.work })).toEqual({
      do: 'choose-cell',
      cell: 2,
      set: 1,
      say: false,
    });
    const both = step({});
    // The first set lies at 0.743 of the wire; 0.95 is the share farthest from it: 100.2 mA * 743.21 / 950.
    expect(both).toMatchObject({ do: 'change-rheostat', set: 2, towardMa: expect.closeTo(78.388, 2) });
    const four = [1, 2, 3, 4].map((set) => ({ ...sampleSet, set }));
    expect(step({ work: sampleComparison(four) })).toEqual({ do: 'finish' });
  });

  it('asks for the key where the driver current says that it is open', () => {
    expect(step({ ...none, keyOpen: true })).toEqual({ do: 'close-key' });
    for (const keyOpen of [false, null]) expect(step({ ...none, keyOpen }).do).not.toBe('close-key');
  });
});
