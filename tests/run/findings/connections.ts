import type { RunView } from '../../../bridge/run/view.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import { ALL, CONTACT } from '../../independent-recordings/writer/board.ts';
import type { Setting } from '../../independent-recordings/writer/circuit.ts';
import type { OutsideRun } from '../../independent-recordings/writer/run.ts';
import type { Choice } from '../../independent-recordings/writer/student.ts';
import { begin, fineNull, SWEEPS } from '../../independent-recordings/writer/student.ts';
import { benchWith, runOfEvents } from './event-runs.ts';
import type { ShownOf } from './shown.ts';
import { once } from './shown.ts';

/** Findings of the connections. */

/** Deflections stay within the span with the protective resistance in. */
const OPEN_SPAN = { protectOhm: 22_000 };
const BOTH_ENDS = [4, 350, 996];

/** The second set of a run, with the jockey put down here and there. */
function tapped(places: readonly number[], choice: Choice = {}, setting: Partial<Setting> = {}): RunView {
  const run = begin({ ...choice, bench: { ...OPEN_SPAN, ...choice.bench } });
  Object.assign(run.setting, setting);
  run.message({ kind: 'set', set: 2 });
  run.lift(2);
  for (const place of places) run.tap(place);
  run.lift(1);
  return viewOf(run.text);
}

/** The rheostat that puts the null of cell 1 at a length from A, in ohm. */
function rheostatFor(lengthCm: number): number {
  const { circuit } = begin().bench;
  const { endAOhm, wireOhm, wireCm, endBOhm, driverV, driverOhm, cells } = circuit;
  const driverA = cells[1].emfV / (endAOhm + (wireOhm * lengthCm) / wireCm);
  return driverV / driverA - endAOhm - wireOhm - endBOhm - driverOhm;
}

/** Touches in each of which the galvanometer's zero is off by a tenth of a microampere, this way and that. */
function tappedUneasily(setting: Partial<Setting> = {}): RunView {
  const run = begin({ bench: OPEN_SPAN });
  Object.assign(run.setting, setting);
  run.message({ kind: 'set', set: 2 });
  run.lift(2);
  const zero = run.bench.galZeroTrue;
  [4, 200, 350, 500, 640, 700, 996].forEach((place, index) => {
    run.bench.galZeroTrue = zero + (index % 2 === 0 ? 2 : -2);
    run.hold(place, 0.6);
    run.bench.galZeroTrue = zero;
    run.lift(1);
  });
  return viewOf(run.text);
}

/** One pass across the null without the protective resistance. */
function swept(bench: Choice['bench']): RunView {
  const run = begin({ bench });
  fineNull(run, { ...SWEEPS, by: 'one-way', seconds: 2 });
  return viewOf(run.text);
}

/** Both cells with driver and cells as they are put, before an ammeter that reads both ways. */
function bothCells(bench: Choice['bench']): RunView {
  const run = begin({ bench: { ...OPEN_SPAN, drvZero: 2048, ...bench } });
  for (const cell of [1, 2] as const) {
    run.useCell(cell);
    run.bench.circuit.cells[cell].emfV *= bench?.reversedDriver ? -1 : 1;
    run.lift(1);
    for (const place of [4, 150, 996]) run.tap(place);
  }
  run.lift(1);
  return viewOf(run.text);
}

const sound = once(() => tapped(BOTH_ENDS));
const nullFound = once(() => swept({}));
const leadsSwapped = once(() => swept({ swappedLeads: true }));
const allReversed = once(() => swept({ reversedDriver: true, reversedCell: 1 }));

/** A board without a sense of contact whose branch is open: for so long, over so much of the scale. */
function silent(seconds: number, reachCm: number): RunView {
  const run = begin({ board: { senses: ALL & ~CONTACT } });
  run.setting.branchOpen = true;
  run.tap(20);
  run.tap(20 + reachCm);
  run.lift(seconds - run.tS);
  return viewOf(run.text);
}

const SENSITIVE = 0.01;
/** A galvanometer whose span is reached 1.2 cm off the null, and a jockey that crosses it. */
function crossed(seconds: number, then: (run: OutsideRun) => void = () => {}): RunView {
  const galvanometer = { zeroCounts: 2048, microampsPerCount: SENSITIVE, resistanceOhm: 120 };
  const run = begin({ bench: { uaPerCount: SENSITIVE, file: { galvanometer } }, galNoiseUa: 0.02 });
  run.setting.rheostatOhm = rheostatFor(642);
  run.useProtection(false);
  run.lift(1);
  const truth = run.truthCm();
  run.sweep(truth - 4, truth + 4, seconds);
  then(run);
  run.lift(1);
  return viewOf(run.text);
}

const driverOf = (emfV: number) => benchWith({ driver: { emfV } });

export const CONNECTIONS: ShownOf<
  | 'cell-reversed'
  | 'driver-below-cell'
  | 'driver-current-none'
  | 'driver-reversed'
  | 'galvanometer-reversed'
  | 'wire-broken'
  | 'no-galvanometer-current'
  | 'null-not-bracketed'
  | 'saturated-near-null'
> = {
  'cell-reversed': [
    {
      when: 'the deflection is - and grows towards B',
      has: () => tapped(BOTH_ENDS, { bench: { reversedCell: 2 } }, { cell: 2 }),
      hasNot: () => tapped(BOTH_ENDS, {}, { cell: 2 }),
      severity: 'stop',
      set: 2,
      cell: 2,
      says: /^Cell 2 deflects - at both ends of the wire: this cell is reversed\.$/,
    },
  ],
  'driver-below-cell': [
    {
      when: 'the null would lie 10 cm beyond B, and not 10 cm before it',
      has: () => tapped([4, 500, 998], {}, { rheostatOhm: rheostatFor(1010) }),
      hasNot: () => tapped([4, 500, 998], {}, { rheostatOhm: rheostatFor(990) }),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /^Cell 1 deflects \+ at both ends of the wire: the driver is too weak for this cell [^;]*$/,
    },
    {
      when: 'the voltmeter reads no more of the driver than of cell 1 (1.54 V)',
      has: () => runOfEvents(driverOf(1.54)),
      hasNot: () => runOfEvents(driverOf(1.55)),
      severity: 'warn',
      cell: 1,
      says: /the driver \(1\.54 V\) does not read more than cell 1 \(1\.54 V\)/,
    },
  ],
  'driver-current-none': [
    {
      // 3.1 V drive 155 mA through the bare wire: 7.6 mA are less than a twentieth, and 7.9 mA are not
      when: 'less than a twentieth of the greatest driver current flows',
      has: () => tapped(BOTH_ENDS, {}, { rheostatOhm: 387 }),
      hasNot: () => tapped(BOTH_ENDS, {}, { rheostatOhm: 372 }),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /^Cell 1 deflects \+ at both ends of the wire: no driver current flows [^;]*$/,
    },
  ],
  'driver-reversed': [
    {
      when: 'the deflection is + and grows towards B, and not a cell and the leads are turned',
      has: () => tapped([4, 150, 996], { bench: { reversedDriver: true } }),
      hasNot: () => tapped([4, 150, 996], { bench: { reversedCell: 1, swappedLeads: true } }),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /^Cell 1 deflects \+ at both ends of the wire: the driver cell is reversed\.$/,
    },
    {
      when: 'a null runs backward and a one-way ammeter reads nothing',
      has: allReversed,
      hasNot: leadsSwapped,
      severity: 'warn',
      says: /\(n1\): the driver cell is reversed and the cells are too\. The nulls are sound/,
    },
    {
      when: 'a two-way ammeter reads backward: once for both cells',
      has: () => bothCells({ reversedDriver: true }),
      hasNot: () => bothCells({ swappedLeads: true }),
      severity: 'warn',
      says: /towards B: the driver cell is reversed and the cells are too\./,
    },
  ],
  'galvanometer-reversed': [
    {
      when: 'a null runs backward while the driver current flows',
      has: leadsSwapped,
      hasNot: allReversed,
      severity: 'warn',
      says: /\(n1\): the galvanometer's leads are swapped against the bench file\. The nulls are sound/,
    },
    {
      when: 'both ends deflect the wrong way, no null found yet',
      has: () => tapped(BOTH_ENDS, { bench: { swappedLeads: true } }),
      hasNot: sound,
      severity: 'warn',
      says: /towards B: the galvanometer's leads are swapped against the bench file\. /,
    },
  ],
  'wire-broken': [
    {
      // the driver's EMF along the wire takes the current from end to end of the span in 8 cm at the least
      when: 'the deflection saturates both ways within 3 cm, and not 14 cm',
      has: () => tapped([478.5, 481.5], {}, { brokenCm: 480, protect: false }),
      hasNot: () => tapped([691.2, 705.2], {}, { protect: false }),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /between 478\.[456] cm and 481\.[456] cm from A: the wire, or a strip that joins two rows, is broken there\.$/,
    },
  ],
  'no-galvanometer-current': [
    {
      when: 'the jockey touches and nothing flows, and not a seventh of a microampere through 10 megohm',
      has: () => tapped([4, 350], {}, { branchOpen: true }),
      hasNot: () => tapped([4, 350], { bench: { protectOhm: 1e7 } }),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /^The galvanometer does not move anywhere on the wire: look for an open branch/,
    },
    {
      when: 'a zero that moves by a tenth of a microampere is all that touches show, where a cell would drive a hundred times as much',
      has: () => tappedUneasily({ branchOpen: true }),
      hasNot: () => tappedUneasily(),
      severity: 'stop',
      set: 2,
      cell: 1,
      says: /^The galvanometer does not move anywhere on the wire: look for an open branch/,
    },
    {
      when: 'nothing was seen to touch for more than 20 s',
      has: () => silent(21, 60),
      hasNot: () => silent(19, 60),
      severity: 'note',
      cell: 1,
      says: /does not sense contact, so a lifted jockey would look the same\.$/,
    },
    {
      when: 'nothing was seen to touch along more than 50 cm',
      has: () => silent(21, 52),
      hasNot: () => silent(21, 48),
      severity: 'note',
      cell: 1,
      says: /^The galvanometer does not move anywhere on the wire/,
    },
  ],
  'null-not-bracketed': [
    {
      when: 'three touches go one way, and not two',
      has: () => tapped([4, 60, 120]),
      hasNot: () => tapped([4, 60]),
      severity: 'note',
      set: 2,
      cell: 1,
      says: /^Cell 1: only one direction of deflection so far\. Touch near both ends of the wire/,
    },
    {
      when: 'the deflection turns about and no null is found yet',
      has: () => tapped([4, 650, 740, 996]),
      hasNot: nullFound,
      severity: 'note',
      set: 2,
      cell: 1,
      says: /^Cell 1: the null lies between 6(49\.9|50\.[01]) cm and 7(39\.9|40\.[01]) cm from A/,
    },
  ],
  'saturated-near-null': [
    {
      when: 'the null is crossed at 80 cm/s, and not at 20',
      has: () => crossed(0.1),
      hasNot: () => crossed(0.4),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Cell 1: the galvanometer is at the end of its span on both sides of the null, between 640\.\d cm and 644\.\d cm from A/,
    },
    {
      when: 'it was this cell that was crossed too fast',
      has: () => crossed(0.1),
      hasNot: () =>
        crossed(0.1, (run) => {
          const truth = run.truthCm();
          run.sweep(truth - 4, truth + 4, 0.4);
          run.useCell(2);
          run.useProtection(true);
          const other = run.truthCm();
          for (const off of [-1.5, 2.5]) run.tap(other + off);
        }),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^Cell 1/,
    },
  ],
};
