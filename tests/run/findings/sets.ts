import { INVENTED_BENCH } from '../../../bridge/simulate/default-scene.ts';
import { benchWith, eye, runOfEvents, timed } from './event-runs.ts';
import type { ShownOf } from './shown.ts';
import { once } from './shown.ts';

/** Findings of the sets and of their result, from lengths read by eye. */

const RATIO = 2;
/** Lengths of cell 2 that a cell 1 of twice the EMF leaves on the wire. */
const SECOND_CM = [240, 320, 400, 480];

/** A bench of which everything is stated that a budget asks for. */
const STATED = {
  wire: {
    ...INVENTED_BENCH.wire,
    uniformityRelative: 0.0001,
    rowSpreadRelative: 0.0001,
    turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0.02 },
  },
  endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
  cells: { '1': { steadyRelativePerMin: 1e-5 }, '2': { steadyRelativePerMin: 1e-5 } },
};
/** The same, and so much of its end correction. */
const stated = (valueCm: number, standardUncertaintyCm: number) => ({
  ...STATED,
  endCorrection: { valueCm, standardUncertaintyCm },
});

/** Sets of cells in the ratio of 2 at an end correction; the first length of the last set is misread by so much. */
function sets(endCm: number, misreadCm = 0, bench: object = {}, second = SECOND_CM) {
  const events = second.flatMap((l2, index) => {
    const l1 = RATIO * (l2 + endCm) - endCm;
    return [eye(1, index + 1, l1 + (index === second.length - 1 ? misreadCm : 0)), eye(2, index + 1, l2)];
  });
  return runOfEvents(benchWith(bench), { kind: 'ammeter', readingMa: 120 }, ...events);
}

/** An open length of 480 cm, and one with 10 ohm across the cell. */
const loaded = (lengthCm: number) =>
  runOfEvents(
    benchWith(),
    { kind: 'procedure', procedure: 'internal-resistance' },
    eye(1, 1, 480),
    { kind: 'load', in: true, ohm: 10, uOhm: 0.01 },
    eye(1, 1, lengthCm),
  );

/** Sets in the ratio of 2 whose lengths of cell 1 are off, by turns one way and the other, and by so much at the most. */
const scattered = (cm: number) =>
  runOfEvents(
    benchWith(),
    { kind: 'ammeter', readingMa: 120 },
    ...[240, 290, 330, 380, 420, 480].flatMap((l2, index) => [
      eye(1, index + 1, RATIO * l2 + cm * Math.sin(5 * index)),
      eye(2, index + 1, l2),
    ]),
  );

/** Four sets taken a minute a length, currents up and down, while cell 1 loses such a part a minute. */
const falling = (perMin: number) =>
  timed(
    benchWith(),
    ...[480, 300, 400, 350].flatMap((l2, index) => [
      eye(1, index + 1, RATIO * l2 * (1 - perMin * 2 * index)),
      eye(2, index + 1, l2),
    ]),
  );

const sound = once(() => sets(0));
const { uniformityRelative, ...unstated } = STATED.wire;
/** One set on such a bench, or one nearly so, and the ammeter's word. */
const oneSet = (bench: object, ammeter: object[] = [{ kind: 'ammeter', readingMa: 120 }]) =>
  runOfEvents(benchWith({ ...STATED, ...bench }), ...ammeter, eye(1, 1, 480), eye(2, 1, 240));

export const SETS: ShownOf<
  | 'too-few-sets'
  | 'sets-senseless'
  | 'row-uneven'
  | 'cell-changed'
  | 'set-outlying'
  | 'result-outside-sets'
  | 'bench-file-contradicted'
  | 'end-correction-significant'
  | 'budget-row-absent'
> = {
  'too-few-sets': [
    {
      when: 'there is one set, and not two',
      has: () => sets(0, 0, {}, [240]),
      hasNot: () => sets(0, 0, {}, [240, 320]),
      severity: 'warn',
      says: /^There is one set only/,
    },
    {
      when: 'cell 2 has no length',
      has: () => runOfEvents(benchWith(), eye(1, 1, 480), eye(1, 2, 640)),
      hasNot: sound,
      severity: 'warn',
      says: /^No set has balancing lengths of both cells/,
    },
  ],
  'sets-senseless': [
    {
      when: 'a balancing length is none, and not half a millimetre',
      has: () => runOfEvents(benchWith(), eye(1, 3, 0), eye(2, 3, 400)),
      hasNot: () => runOfEvents(benchWith(), eye(1, 3, 0.05), eye(2, 3, 400)),
      severity: 'warn',
      says: /^Set 3 is left out: the balancing length of cell 1 is 0 cm; a balancing length is above 0\./,
    },
    {
      when: 'the balancing length grows with a load across the cell, by more than its uncertainty',
      has: () => loaded(480.3),
      hasNot: () => loaded(480.1),
      severity: 'stop',
      says: /^Set 1: with 10 ohm across the cell the balancing length is longer than without, so r comes out below zero\./,
    },
  ],
  'row-uneven': [
    {
      when: 'lengths lie off the line by half a per cent here and there, and not by a twentieth of that',
      has: () => scattered(4),
      hasNot: () => scattered(0.2),
      severity: 'warn',
      says: /^The sets disagree as they would on an uneven wire; row \d+ fits least/,
    },
  ],
  'cell-changed': [
    {
      when: 'cell 1 loses 0.1 % a minute, and not a fiftieth of that',
      has: () => falling(1e-3),
      hasNot: () => falling(2e-5),
      severity: 'warn',
      says: /^The sets disagree as they would with a cell that changes; cell [12] by about -?\d\.\d+ % a minute/,
    },
  ],
  'set-outlying': [
    {
      when: 'one of four lengths is misread by 10 cm, and not by 2 mm',
      has: () => sets(0, 10),
      hasNot: () => sets(0, 0.2),
      severity: 'warn',
      says: /^Set 4 does not agree with the others/,
    },
  ],
  'result-outside-sets': [
    {
      when: 'a known end correction of 12 cm moves it, and not one of a millimetre',
      has: () => sets(12, 0, stated(12, 0.02)),
      hasNot: () => sets(0.1, 0, stated(0.1, 0.02)),
      severity: 'warn',
      says: /^The result lies outside the ratios of its own sets, by 0\.\d+/,
    },
  ],
  'bench-file-contradicted': [
    {
      when: 'the file denies an end correction of 4 cm, and not one of half a millimetre',
      has: () => sets(4, 0, stated(0, 0.05)),
      hasNot: () => sets(0.05, 0, stated(0, 0.05)),
      severity: 'warn',
      says: /^The sets put the end correction at [34]\.\d\d cm .* which contradicts the bench file/,
    },
  ],
  'end-correction-significant': [
    {
      when: 'it is more than twice its standard uncertainty',
      has: () => sets(0.6, 0, stated(0.6, 0.15)),
      hasNot: () => sets(0.2, 0, stated(0.2, 0.15)),
      severity: 'note',
      says: /^The end correction is \d\.\d\d cm with standard uncertainty 0\.\d+ cm: it counts/,
    },
  ],
  'budget-row-absent': [
    {
      when: 'nobody states how uniform the wire is',
      has: () => oneSet({ wire: unstated }),
      hasNot: () => oneSet({}),
      severity: 'note',
      says: /^Nobody stated the unevenness along the wire \(wire\.uniformityRelative\); an ordinary size of benches that nobody has measured is taken\.$/,
    },
    {
      when: 'no driver current turns microvolts into length',
      has: () => oneSet({}, []),
      hasNot: () => oneSet({}),
      severity: 'note',
      says: /^The budget has no row for thermal EMFs/,
    },
  ],
};
