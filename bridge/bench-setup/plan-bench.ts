import type { Bench } from '../bench/bench-file.ts';
import { placeOnWire, scaleSense } from '../bench/geometry.ts';
import { statedEmfV } from '../bench/stated-emf.ts';
import type { Formulas } from '../calc-core/formulas.ts';
import { type PlanAnswer, planRun } from '../calc-core/plan.ts';
import { message } from '../messages/catalogue.ts';
import { knowledgeOf } from '../run/bench-knowledge.ts';

/** What the bench file does not say of a run to come. */
export interface PlanWishes {
  /** Smallest and largest resistance of the rheostat, in ohm. */
  rheostatOhm: [number, number];
  driverResistanceOhm: number;
  sets: number;
  /** Standard uncertainty expected of one reading of a null, in cm. */
  uReadCm: number;
}

/** Plans a run on a bench, from its own file; the EMFs are the voltmeter's, or that of a reference cell. */
export function planBench(bench: Bench, wishes: PlanWishes, formulas: Formulas): PlanAnswer {
  const emf1V = statedEmfV(bench, 1);
  const emf2V = statedEmfV(bench, 2);
  const driverEmfV = bench.driver?.emfV;
  if (emf1V === undefined || emf2V === undefined || driverEmfV === undefined) {
    return { ok: false, ...message('plan-needs-voltages') };
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
