import type { Bench } from '../bench/bench-file.ts';
import { placeOnWire, scaleSense } from '../bench/geometry.ts';
import type { Formulas } from '../calc-core/formulas.ts';
import { type PlanAnswer, planRun } from '../calc-core/plan.ts';
import { knowledgeOf } from '../run/result.ts';

/** What the bench file does not say of a run to come. */
export interface PlanWishes {
  /** Smallest and largest resistance of the rheostat, in ohm. */
  rheostatOhm: [number, number];
  driverResistanceOhm: number;
  sets: number;
  /** Standard uncertainty expected of one reading of a null, in cm. */
  uReadCm: number;
}

/** Plans a run on a bench, from its own file; the EMFs are the voltmeter's. */
export function planBench(bench: Bench, wishes: PlanWishes, formulas: Formulas): PlanAnswer {
  const emf1V = bench.cells?.['1']?.voltmeterV;
  const emf2V = bench.cells?.['2']?.voltmeterV;
  const driverEmfV = bench.driver?.emfV;
  if (emf1V === undefined || emf2V === undefined || driverEmfV === undefined) {
    return {
      ok: false,
      text: 'A plan needs the voltmeter readings of driver, cell 1 and cell 2 in the bench file.',
    };
  }
  return planRun({
    ...wishes,
    bench: knowledgeOf(bench),
    driverEmfV,
    emf1V,
    emf2V,
    galvanometerOhm: bench.galvanometer.resistanceOhm,
    place: (lengthCm) => {
      const place = placeOnWire(bench.wire, lengthCm);
      return { ...place, scaleSense: scaleSense(bench.wire, place.row) };
    },
    formulas,
  });
}
