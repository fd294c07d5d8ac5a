import type { Bench } from '../bench/bench-file.ts';
import { correctedAmmeterMa } from '../bench/calibration.ts';
import { wireLengthCm } from '../bench/geometry.ts';
import type { BenchKnowledge, ComparisonSet, LoadSet } from '../calc-core/balancing-length.ts';
import { compareEmfs } from '../calc-core/comparison.ts';
import { internalResistance } from '../calc-core/internal-resistance.ts';
import type { ComparisonOutcome, InternalResistanceOutcome } from '../calc-core/outcome.ts';
import { emfByReference } from '../calc-core/reference-cell.ts';
import { runTemperatureC } from './about.ts';
import type { RunFold } from './fold.ts';
import type { Combined } from './observations.ts';
import { combine } from './observations.ts';
import { knownCells, referenceCells } from './reference-cells.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import type { SetCurrent } from './set-current.ts';
import { setCurrent } from './set-current.ts';
import type { ComparisonSetView, LoadSetView, RunView, WireLineView } from './view.ts';
import { wireLineOf } from './wire-lines.ts';

/** Balancing lengths of a run into sets, and sets into the result, for either procedure. */

export interface SetsAndResult {
  sets: ComparisonSetView[] | LoadSetView[];
  comparison: ComparisonOutcome | null;
  emf: ComparisonOutcome | null;
  wireLines: WireLineView[];
  internalResistance: InternalResistanceOutcome | null;
  combined: { set: number; cell: number; combined: Combined }[];
}

/** Thermal EMFs of a copper and manganin or constantan circuit by hand, in microvolts (common practice, no source). */
const THERMAL_EMF_UV = 5;

export const knowledgeOf = (bench: Bench): BenchKnowledge => ({
  wireLengthCm: wireLengthCm(bench.wire),
  rowLengthCm: bench.wire.rowLengthCm,
  wireResistanceOhm: bench.wire.resistanceOhm,
  position: bench.position ?? null,
  endCorrection: bench.endCorrection,
  uniformityRelative: bench.wire.uniformityRelative ?? null,
  turnCorrectionCm: bench.wire.turnCorrectionCm ?? null,
  thermalEmfUv: bench.thermalEmfUv ?? THERMAL_EMF_UV,
});

/** The calculation of a procedure. With a `seed` it makes the Monte Carlo check of the interval, too. */
export const workOf = (procedure: RunView['procedure']) =>
  procedure === 'emf-comparison' ? compareRun : internalResistanceRun;

function compareRun(fold: RunFold, bench: Bench, used: ResolvedNull[], seed?: number): SetsAndResult {
  const combined: SetsAndResult['combined'] = [];
  const correlationCm = correlationOf(bench);
  const complete: ComparisonSet[] = [];
  const sets = numbersOf(used).map((set): ComparisonSetView => {
    const ofSet = used.filter((null_) => null_.set === set);
    const current = setCurrent(ofSet, correlationCm);
    const [first, second] = [1, 2].map((cell) => {
      const nulls = ofSet.filter((null_) => null_.labels.cell === cell);
      if (nulls.length === 0) return null;
      const one = combine(nulls, current, correlationCm);
      combined.push({ set, cell, combined: one });
      return one;
    });
    const driverMa = currentMa(fold, bench, ofSet, current);
    if (first !== null && second !== null)
      complete.push({ set, driverMa, l1: first.length, l2: second.length });
    return {
      set,
      driverMa,
      l1Cm: first?.length.lengthCm ?? null,
      u1Cm: first?.uCm ?? null,
      uRead1Cm: first?.uReadCm ?? null,
      l2Cm: second?.length.lengthCm ?? null,
      u2Cm: second?.uCm ?? null,
      uRead2Cm: second?.uReadCm ?? null,
      ratio: null,
      uRatio: null,
    };
  });
  const knowledge = knowledgeOf(bench);
  const options = { formulas: fold.formulas, seed };
  const comparison = compareEmfs(complete, knowledge, options);
  const known = knownCells(referenceCells(bench, runTemperatureC(fold)));
  const emf = known.length === 1 ? emfByReference(complete, knowledge, known[0], options) : null;
  for (const ratio of comparison.sets) {
    const set = sets.find((candidate) => candidate.set === ratio.set);
    if (set !== undefined) Object.assign(set, { ratio: ratio.ratio, uRatio: ratio.uRatio });
  }
  const { endCorrectionCm: end } = comparison;
  const endCorrection =
    end === null ? bench.endCorrection : { valueCm: end.value, standardUncertaintyCm: end.u };
  const wireLines = sets.flatMap((set) => wireLineOf(set, known, endCorrection));
  return { sets, comparison, emf, wireLines, internalResistance: null, combined };
}

/**
 * Internal resistance: in each set the open length goes with the length under each load; a set with several
 * loads gives one row a load.
 */
function internalResistanceRun(
  fold: RunFold,
  bench: Bench,
  used: ResolvedNull[],
  seed?: number,
): SetsAndResult {
  const combined: SetsAndResult['combined'] = [];
  const correlationCm = correlationOf(bench);
  const views: LoadSetView[] = [];
  const complete: LoadSet[] = [];
  for (const set of numbersOf(used)) {
    const ofSet = used.filter((null_) => null_.set === set);
    const current = setCurrent(ofSet, correlationCm);
    const open = ofSet.filter((null_) => !null_.labels.load);
    const l0 = open.length === 0 ? null : combine(open, current, correlationCm);
    if (l0 !== null) combined.push({ set, cell: cellOf(open), combined: l0 });
    for (const ohm of loadsOf(ofSet)) {
      const loaded = ofSet.filter((null_) => null_.labels.load && null_.labels.loadOhm === ohm);
      const l = loaded.length === 0 ? null : combine(loaded, current, correlationCm);
      const view = loadSetView(set, currentMa(fold, bench, ofSet, current), ohm, l0, l);
      views.push(view);
      if (l === null) continue;
      combined.push({ set, cell: cellOf(loaded), combined: l });
      if (l0 !== null && ohm !== null) {
        const uLoadOhm = loaded[0].labels.uLoadOhm;
        complete.push({ set, driverMa: view.driverMa, loadOhm: ohm, uLoadOhm, l0: l0.length, l: l.length });
      }
    }
  }
  const outcome = internalResistance(complete, knowledgeOf(bench), { formulas: fold.formulas, seed });
  for (const found of outcome.sets) {
    const view = views.find(
      (candidate) => candidate.set === found.set && candidate.loadOhm === found.loadOhm,
    );
    if (view !== undefined) Object.assign(view, { rOhm: found.rOhm, uROhm: found.uROhm });
  }
  return { sets: views, comparison: null, emf: null, wireLines: [], internalResistance: outcome, combined };
}

function loadSetView(
  set: number,
  driverMa: number | null,
  loadOhm: number | null,
  l0: Combined | null,
  l: Combined | null,
): LoadSetView {
  return {
    set,
    driverMa,
    loadOhm,
    l0Cm: l0?.length.lengthCm ?? null,
    u0Cm: l0?.uCm ?? null,
    uRead0Cm: l0?.uReadCm ?? null,
    lCm: l?.length.lengthCm ?? null,
    uCm: l?.uCm ?? null,
    uReadCm: l?.uReadCm ?? null,
    rOhm: null,
    uROhm: null,
  };
}

const numbersOf = (nulls: ResolvedNull[]): number[] =>
  [...new Set(nulls.map((null_) => null_.set))].sort((a, b) => a - b);

const cellOf = (nulls: ResolvedNull[]): number => nulls[0].labels.cell ?? 1;

/** Loads of a set in the order they were used; a set with none still shows its open length. */
function loadsOf(nulls: ResolvedNull[]): (number | null)[] {
  const loads = [...new Set(nulls.filter((null_) => null_.labels.load).map((null_) => null_.labels.loadOhm))];
  return loads.length === 0 ? [null] : loads;
}

/** Without a sensor there is no place to tell apart; the format's default then does no harm. */
const correlationOf = (bench: Bench): number => bench.position?.correlationCm ?? 15;

const currentMa = (
  fold: RunFold,
  bench: Bench,
  nulls: ResolvedNull[],
  current: SetCurrent | null,
): number | null => current?.mA ?? ammeterMa(fold, bench, nulls);

/** The last ammeter reading by eye that was said before the set's last null. */
function ammeterMa(fold: RunFold, bench: Bench, nulls: ResolvedNull[]): number | null {
  const latest = Math.max(...nulls.map((null_) => null_.tS));
  const readings = fold.log.standing('ammeter').filter(({ entry }) => (entry.atS ?? 0) <= latest + 1);
  const last = readings[readings.length - 1];
  return last === undefined ? null : correctedAmmeterMa(bench, last.event.readingMa);
}
