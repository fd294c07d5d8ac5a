import type { RunView } from '../../../bridge/run/view.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import { ALL, CONTACT } from '../../independent-recordings/writer/board.ts';
import type { OutsideRun } from '../../independent-recordings/writer/run.ts';
import type { Choice, Fine } from '../../independent-recordings/writer/student.ts';
import { begin, fineNull } from '../../independent-recordings/writer/student.ts';
import { benchWith, eye, runOfEvents } from './event-runs.ts';
import type { ShownOf } from './shown.ts';
import { once } from './shown.ts';

/** Findings of the nulls and of what lies between them. */

const ONE_WAY: Fine = { by: 'one-way', reachCm: 4, seconds: 2 };

function run(choice: Choice, act: (run: OutsideRun) => void): RunView {
  const made = begin(choice);
  act(made);
  made.lift(1);
  return viewOf(made.text);
}

/** One fine null of cell 1 through noise, amid a row: 18 microamperes are a centimetre. */
const noisy = (galNoiseUa: number) =>
  run({ galNoiseUa }, (made) => {
    made.useRheostat(5.7);
    fineNull(made, { ...ONE_WAY, seconds: 3 });
  });

/** One fine null of cell 1 through an amplifier that makes something else of a current in microamperes. */
const amplified = (of: (ua: number) => number) =>
  run({ amplified: of }, (made) => fineNull(made, { ...ONE_WAY, seconds: 3 }));

const brokenAmidSweep = () =>
  run({ bench: { uaPerCount: 20 } }, (made) => {
    made.setting.brokenCm = 455;
    made.useProtection(false);
    made.sweep(440, 470, 5);
  });

const SLOW: Fine = { by: 'one-way', reachCm: 4, seconds: 3 };
const TAPS: Fine = { by: 'taps', reachCm: 2, seconds: 1 };
const sampledAt = (rateHz: number, fine: Fine) => run({ board: { rateHz } }, (made) => fineNull(made, fine));

const zeroOff = (counts: number, senses = ALL) =>
  run({ bench: { zeroOff: counts }, board: { senses } }, (made) => made.lift(6));

/** Two lengths of cell 2 in the second set that lie apart, both read by half a millimetre; one of the first set beside them. */
const apart = (cm: number) => runOfEvents(benchWith(), eye(2, 1, 480), eye(2, 2, 540), eye(2, 2, 540 + cm));

/** The first pass finds the null of a fresh cell, the second that of one that has lost so many volts. */
const tiring = (lostV: number) =>
  run({ board: { bits: 16 } }, (made) => {
    made.message({ kind: 'set', set: 3 });
    made.lift(20);
    fineNull(made, ONE_WAY);
    made.bench.circuit.cells[1].emfV -= lostV;
    fineNull(made, ONE_WAY);
  });

/** A length by the sensor, and one read by eye that lies so much further from A. */
const readBeside = (offCm: number) =>
  run({ uScaleCm: 0 }, (made) => {
    fineNull(made, ONE_WAY);
    const truth = made.truthCm();
    made.message({ kind: 'length', cell: 1, set: 1, row: 7, scaleCm: truth + offCm - 600 });
  });

/** Both cells, half a minute apart, while the driver's EMF changes; 16 bits, so that steps of the converter hide nothing. */
const drifting = (perS: number) =>
  run({ board: { bits: 16 }, driftPerS: perS }, (made) => {
    made.message({ kind: 'set', set: 2 });
    made.lift(2);
    fineNull(made, ONE_WAY);
    const first = made.tS;
    made.useCell(2);
    made.lift(first + 30 - made.tS - 2.6);
    fineNull(made, ONE_WAY);
  });

/** The rheostat is turned between two nulls of a set that was said. */
const turned = (act: (made: OutsideRun) => void, coarse = false) =>
  run({}, (made) => {
    made.message({ kind: 'set', set: 2 });
    made.lift(2.5);
    if (coarse) {
      made.useProtection(true);
      made.sweepNull(1, 4, 2);
    } else fineNull(made, ONE_WAY);
    act(made);
    fineNull(made, ONE_WAY);
  });
const changed = once(() => turned((made) => made.useRheostat(10.5)));

/** The second null, of another current, is put into a set by the operator. */
const assigned = (set: number) =>
  run({}, (made) => {
    fineNull(made, ONE_WAY);
    made.useRheostat(10.5);
    fineNull(made, ONE_WAY);
    made.message({ kind: 'assign', null: 'n2', set });
  });

const UNLABELLED = { kind: 'length', scaleCm: 40 };
const oneUnknown = once(() => runOfEvents(benchWith(), eye(1, 1, 545), UNLABELLED));
const coarseUnknown = once(() => runOfEvents(benchWith(), { kind: 'protect', in: true }, UNLABELLED));

export const NULLS: ShownOf<
  | 'sensitivity-low'
  | 'galvanometer-clips'
  | 'rate-too-low'
  | 'galvanometer-zero-moved'
  | 'nulls-scatter'
  | 'driver-drift'
  | 'driver-changed-within-set'
  | 'row-unknown'
  | 'cell-unknown'
> = {
  'sensitivity-low': [
    {
      when: 'the readings leave more than half a millimetre',
      has: () => noisy(19),
      hasNot: () => noisy(14),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Set 1, cell 1: the readings tell the null to 0\.[56] mm only, no better than the eye on the scale \(0\.5 mm\)\./,
    },
  ],
  'galvanometer-clips': [
    {
      when: 'its current stops growing within what a sweep passes, and not beyond it',
      has: () => amplified((ua) => Math.max(-40, Math.min(40, ua))),
      hasNot: () => amplified((ua) => Math.max(-120, Math.min(120, ua))),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Set 1, cell 1: off the null the galvanometer's current grows far less than at it/,
    },
    {
      when: 'its gain falls to a half within a centimetre, and not where it falls by a twentieth',
      has: () => amplified((ua) => ua / (1 + Math.abs(ua) / 20)),
      hasNot: () => amplified((ua) => ua / (1 + Math.abs(ua) / 1000)),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /its amplifier clips or its gain falls\./,
    },
    {
      when: 'it has a line at the null, and not where the current jumps there because the wire is broken',
      has: () => amplified((ua) => Math.max(-40, Math.min(40, ua))),
      hasNot: () => brokenAmidSweep(),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Set 1/,
    },
  ],
  'rate-too-low': [
    {
      when: 'a sweep of three seconds has four samples a second, and not twenty',
      has: () => sampledAt(4, SLOW),
      hasNot: () => sampledAt(20, SLOW),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Set 1, cell 1: its touches give too few samples to make out a null, at 4 a second\./,
    },
    {
      when: 'a sweep of half a second has twenty samples a second, and not one of three seconds',
      has: () => sampledAt(20, { ...SLOW, seconds: 0.5 }),
      hasNot: () => sampledAt(20, SLOW),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /, at 20 a second\. Let the board sample faster, sweep more slowly, and hold taps longer\.$/,
    },
    {
      when: 'a sweep so fast crossed the null, and not where it stayed on one side of it',
      has: () => sampledAt(20, { ...SLOW, seconds: 0.5 }),
      hasNot: () =>
        run({ board: { rateHz: 20 } }, (made) => {
          made.useProtection(false);
          made.sweep(610, 618, 0.5);
        }),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /, at 20 a second\./,
    },
    {
      when: 'taps are held for some six samples, and not for sixty',
      has: () => sampledAt(8, TAPS),
      hasNot: () => sampledAt(80, TAPS),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /, at 8 a second\./,
    },
  ],
  'galvanometer-zero-moved': [
    {
      when: 'it lies more than one and a half counts off',
      has: () => zeroOff(1.8),
      hasNot: () => zeroOff(1.2),
      severity: 'note',
      says: /^With the jockey lifted the galvanometer reads 2049\.[789] counts; the bench file says 2048\./,
    },
    {
      when: 'it lies off at a board that can not know a lifted jockey',
      has: () => zeroOff(4, ALL & ~CONTACT),
      hasNot: () => zeroOff(1, ALL & ~CONTACT),
      severity: 'note',
      says: /^The galvanometer comes to rest at 205[12]\.\d counts, .* This board does not sense contact: lift the jockey/,
    },
  ],
  'nulls-scatter': [
    {
      // chi-square is 18/2.5², against 6.6 at 99 %; the standard deviation of two is their distance over the root of 2
      when: 'two readings by eye differ by more than chance allows in 99 of 100',
      has: () => apart(0.19),
      hasNot: () => apart(0.18),
      severity: 'warn',
      set: 2,
      cell: 2,
      says: /^Set 2, cell 2: its 2 nulls scatter by 1\.34 mm, 2\.7 times what each promises\./,
    },
    {
      // of 1.5184 V and 698 cm: 0.46 mm, over the root of 2
      when: 'a cell loses 100 microvolts between two passes, and not 10',
      has: () => tiring(1e-4),
      hasNot: () => tiring(1e-5),
      severity: 'warn',
      set: 3,
      cell: 1,
      says: /^Set 3, cell 1: its 2 nulls scatter by 0\.[23]\d mm, /,
    },
    {
      when: 'the scale was read 3 mm beside what the sensor says, and not 1 mm',
      has: () => readBeside(0.3),
      hasNot: () => readBeside(0.1),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Set 1, cell 1: its 2 nulls scatter by [12]\.\d\d mm, [45]\.\d times what each promises/,
    },
  ],
  'driver-drift': [
    {
      when: 'the current falls by more than 0.05 % between the nulls of a set',
      has: () => drifting(-0.0006 / 30),
      hasNot: () => drifting(-0.0004 / 30),
      severity: 'note',
      set: 2,
      says: /^Set 2: the driver current drifted by 0\.06 % between its nulls\./,
    },
    {
      when: 'the current goes by itself, and not by the hand on the rheostat',
      has: () => drifting(0.0008 / 30),
      hasNot: changed,
      severity: 'note',
      set: 2,
      says: /drifted by 0\.08 %/,
    },
  ],
  'driver-changed-within-set': [
    {
      when: 'it is one set still, and not one that was said since',
      has: changed,
      hasNot: () =>
        turned((made) => {
          made.useRheostat(10.5);
          made.message({ kind: 'set', set: 3 });
        }),
      severity: 'warn',
      set: 2,
      says: /^Set 2: the driver current was changed between its nulls\./,
    },
    {
      when: 'a null was put into a set of another current, and not into its own',
      has: () => assigned(1),
      hasNot: () => assigned(2),
      severity: 'warn',
      set: 1,
      says: /^Set 1: the driver current was changed between its nulls\./,
    },
    {
      when: 'the nulls on both sides of the change count, and not a coarse one',
      has: changed,
      hasNot: () => turned((made) => made.useRheostat(10.5), true),
      severity: 'warn',
      set: 2,
      says: /begin a new set after each change\.$/,
    },
  ],
  'row-unknown': [
    {
      when: 'nobody says it',
      has: oneUnknown,
      hasNot: () => runOfEvents(benchWith(), UNLABELLED, { kind: 'assign', null: 'n1', row: 7 }),
      severity: 'warn',
      says: /^n2: the row is not known\. Say it, and the null counts\.$/,
    },
    {
      when: 'the null would count with it, and not with the protective resistance in',
      has: oneUnknown,
      hasNot: coarseUnknown,
      severity: 'warn',
      says: /^n2/,
    },
  ],
  'cell-unknown': [
    {
      when: 'nobody says it',
      has: oneUnknown,
      hasNot: () => runOfEvents(benchWith(), UNLABELLED, { kind: 'assign', null: 'n1', cell: 2 }),
      severity: 'warn',
      says: /^n2: the cell is not known\. Say it, and the null counts\.$/,
    },
    {
      when: 'the null would count with it, and not with the protective resistance in',
      has: oneUnknown,
      hasNot: coarseUnknown,
      severity: 'warn',
      says: /^n2/,
    },
    {
      when: 'two cells are compared, and not the internal resistance of one measured',
      has: oneUnknown,
      hasNot: () =>
        runOfEvents(benchWith(), { kind: 'procedure', procedure: 'internal-resistance' }, UNLABELLED),
      severity: 'warn',
      says: /^n2/,
    },
  ],
};
