import type { BenchKnowledge, LoadSet } from '../../../bridge/calc-core/balancing-length.ts';
import { type Bench, drawBench, type Null, nullAt } from './bench.ts';
import { drawCell, type InTime } from './cells.ts';
import { type Chance, chanceFrom } from './chance.ts';
import type { Reality } from './experiment.ts';
import { combined } from './lengths.ts';
import type { Sizes } from './sizes.ts';
import { endCorrectionCm, knowledgeOf, type Statement } from './statements.ts';

/** One run for the internal resistance of a cell, as balancing lengths, with its truth. */

export interface LoadConditions {
  sizes: Sizes;
  statements: readonly Statement[];
  /** Relative fall of the EMF that a load would come to if it stayed in; it recovers more slowly. */
  polarisation: number;
}

export interface LoadExperiment {
  sets: LoadSet[];
  bench: BenchKnowledge;
  /** Internal resistance in ohm. */
  truth: number;
  reality: Reality;
}

interface LoadDesign {
  order: readonly ('open' | 'load')[];
  timesS: readonly (readonly number[])[];
  loadsOhm: readonly number[];
  emfV: number;
  ohm: number;
  /** Where the open cell balances, as share of the wire. */
  openAt: number;
  byEye: boolean;
  currentNoise: number;
  minutes: number;
}

export function drawLoadExperiment(conditions: LoadConditions, seed: number): LoadExperiment {
  const chance = chanceFrom(seed);
  for (;;) {
    const experiment = tryLoads(conditions, chance);
    if (experiment !== null) return experiment;
  }
}

function drawLoadDesign(chance: Chance): LoadDesign {
  const sets = chance.oneOf([1, 2, 3, 3, 4, 6, 8]);
  const order = chance.oneOf([
    ['open', 'load'],
    ['open', 'load', 'open'],
  ] as const);
  const minutes = Math.min(Math.max(chance.logBetween(1, 60), 0.3 * sets * order.length), 8 * sets);
  const slotS = (60 * minutes) / (sets * order.length);
  const ohm = chance.logBetween(0.2, 4);
  const oneLoad = chance.yes(0.3);
  const load = () => ohm * chance.logBetween(1, 15);
  const first = load();
  const slot = (set: number, index: number) => slotS * (set * order.length + index);
  return {
    order,
    minutes,
    timesS: Array.from({ length: sets }, (_, set) => order.map((_, index) => slot(set, index))),
    loadsOhm: Array.from({ length: sets }, () => (oneLoad ? first : load())),
    emfV: chance.between(1, 2.1),
    ohm,
    openAt: chance.between(0.7, 0.985),
    byEye: chance.yes(0.2),
    currentNoise: chance.logBetween(5e-6, 3e-5),
  };
}

/** A load is put in this long before its null and taken out after it. */
const LOADED_S = 12;

/** Relative lack of EMF at a time, from all loads so far: each builds up while it is in, and dies away. */
function lackOf({ order, timesS }: LoadDesign, polarisation: number, chance: Chance): InTime {
  const [upS, downS] = [chance.logBetween(10, 60), chance.logBetween(60, 900)];
  const loaded = timesS.flatMap((times) => times.filter((_, index) => order[index] === 'load'));
  const top = polarisation * (1 - Math.exp(-LOADED_S / upS));
  return (tS) =>
    loaded.reduce((sum, endS) => {
      const onS = tS - (endS - LOADED_S);
      if (onS <= 0) return sum;
      if (tS <= endS) return sum + polarisation * (1 - Math.exp(-onS / upS));
      return sum + top * Math.exp(-(tS - endS) / downS);
    }, 0);
}

function tryLoads(conditions: LoadConditions, chance: Chance): LoadExperiment | null {
  const { sizes, polarisation, statements } = conditions;
  const design = drawLoadDesign(chance);
  const bench = drawBench(sizes, design.byEye, chance);
  const steady = drawCell(design.emfV, sizes, chance, null);
  const lack = lackOf(design, polarisation, chance);
  const statement = chance.oneOf(statements);
  const knowledge = knowledgeOf(statement, bench.wire, sizes, design.minutes, chance);
  const setA = design.emfV / (design.openAt * bench.wire.ohm);
  const uLoad = chance.oneOf([0, 0.0002, 0.001]);
  const sets = design.timesS.map((times, set) => {
    const realOhm = design.loadsOhm[set] * (1 + uLoad * chance.normal());
    const nulls = times.map((tS, index) => {
      const share = design.order[index] === 'load' ? realOhm / (realOhm + design.ohm) : 1;
      const volts = steady(tS) * (1 - lack(tS)) * share;
      return nullAt(bench, { set, cell: 1, tS, sinceS: tS + 60, setA, volts });
    });
    return asSet(nulls, set, design, bench, uLoad, chance);
  });
  if (sets.some((set) => set === null)) return null;
  const lastS = Math.max(...design.timesS.flat());
  const largestLack = Math.max(...design.timesS.flat().map(lack));
  const meanLoad = design.loadsOhm.reduce((sum, one) => sum + one, 0) / design.loadsOhm.length;
  return {
    sets: sets.filter((set) => set !== null),
    bench: knowledge,
    truth: design.ohm,
    reality: {
      sizes,
      statement,
      design: {
        sets: sets.length,
        order: design.order.join('-'),
        minutes: design.minutes,
        byEye: design.byEye,
      },
      endCm: endCorrectionCm(bench.wire),
      emfChange:
        (largestLack + Math.abs(steady(lastS) / steady(0) - 1)) * ((meanLoad + design.ohm) / design.ohm),
      jumped: false,
      blunder: null,
    },
  };
}

function asSet(
  nulls: readonly (Null | null)[],
  set: number,
  design: LoadDesign,
  bench: Bench,
  uLoad: number,
  chance: Chance,
): LoadSet | null {
  const found = nulls.filter((one) => one !== null);
  if (found.length < nulls.length) return null;
  const currentA = found.reduce((sum, one) => sum + one.currentA, 0) / found.length;
  const lengthOf = (which: 'open' | 'load') =>
    combined(
      found.filter((_, index) => design.order[index] === which),
      currentA,
      bench,
      design,
      chance,
    );
  const loadOhm = design.loadsOhm[set];
  const uLoadOhm = uLoad === 0 ? null : uLoad * loadOhm;
  return {
    set: set + 1,
    driverMa: 1000 * currentA,
    loadOhm,
    uLoadOhm,
    l0: lengthOf('open'),
    l: lengthOf('load'),
  };
}
