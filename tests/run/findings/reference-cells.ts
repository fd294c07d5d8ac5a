import type { RunView } from '../../../bridge/run/view.ts';
import { INVENTED_BENCH } from '../../../bridge/simulate/default-scene.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import { begin } from '../../independent-recordings/writer/student.ts';
import { benchWith, runOfEvents } from './event-runs.ts';
import type { ShownOf } from './shown.ts';
import { once } from './shown.ts';

/** Findings of a reference cell. */

const CERTIFIED = { emfV: 1.0186, standardUncertaintyV: 0.0001 };

const stated = (reference: object, protectiveResistanceOhm = 100_000) =>
  benchWith({ protectiveResistanceOhm, cells: { ...INVENTED_BENCH.cells, '2': { reference } } });

const sound = once(() => runOfEvents(stated(CERTIFIED)));
const westonAt = (temperatureC?: number) =>
  runOfEvents(stated({ ...CERTIFIED, weston: { formula: 'hamer-1972', temperatureC } }));

/** One touch of reference cell 2 where so many microamperes flow without the protective resistance. */
function touched(microamps: number, { uaPerCount = 0.1, protect = false } = {}): RunView {
  const cells = {
    '1': { voltmeterV: 1.52 },
    '2': { reference: { emfV: 1.2043, standardUncertaintyV: 0.0001 } },
  };
  const galvanometer = { zeroCounts: 2048, microampsPerCount: uaPerCount, resistanceOhm: 120 };
  const run = begin({ bench: { uaPerCount, file: { cells, galvanometer } } });
  run.useCell(2);
  run.useProtection(protect);
  run.lift(2);
  const { circuit } = run.bench;
  const { rheostatOhm } = run.setting;
  const loopOhm = circuit.endAOhm + circuit.wireOhm + circuit.endBOhm + circuit.driverOhm + rheostatOhm;
  const truth = run.truthCm();
  const aOhm = (circuit.wireOhm * truth) / circuit.wireCm;
  const branchOhm = circuit.galvanometerOhm + circuit.cells[2].ohm + (aOhm * (loopOhm - aOhm)) / loopOhm;
  const voltPerCm = ((circuit.driverV / loopOhm) * circuit.wireOhm) / circuit.wireCm;
  run.tap(truth - (microamps * 1e-6 * branchOhm) / voltPerCm);
  run.lift(1);
  return viewOf(run.text);
}

export const REFERENCE_CELLS: ShownOf<
  'protection-too-small' | 'reference-cell-worked' | 'reference-emf-unknown'
> = {
  'protection-too-small': [
    {
      when: 'it is less than 100 kilohm',
      has: () => runOfEvents(stated(CERTIFIED, 99_000)),
      hasNot: sound,
      severity: 'stop',
      says: /^Cell 2 is a reference cell: put a protective resistance of 100 kilohm or more .* \(it is 99000 ohm\)\.$/,
    },
  ],
  'reference-cell-worked': [
    {
      when: 'more than 100 microamperes flowed',
      has: () => touched(106),
      hasNot: () => touched(94),
      severity: 'warn',
      cell: 2,
      says: /^10[567] microamperes flowed through reference cell 2 at 54\d\.\d cm from A/,
    },
    {
      // 2048 counts of 0.04 microamperes
      when: 'the galvanometer was at the end of its span, and not with the protective resistance in',
      has: () => touched(150, { uaPerCount: 0.04 }),
      hasNot: () => touched(150, { uaPerCount: 0.04, protect: true }),
      severity: 'warn',
      cell: 2,
      says: /^more than 82 microamperes flowed through reference cell 2 at 54\d\.\d cm from A/,
    },
    {
      when: 'a load is to be put across it',
      has: () => runOfEvents(stated(CERTIFIED), { kind: 'procedure', procedure: 'internal-resistance' }),
      hasNot: sound,
      severity: 'stop',
      cell: 2,
      says: /^Cell 2 is a reference cell: no load may be put across it\./,
    },
  ],
  'reference-emf-unknown': [
    {
      when: 'its temperature is not known',
      has: () => westonAt(),
      hasNot: () => westonAt(20),
      severity: 'warn',
      cell: 2,
      says: /^The EMF of reference cell 2 is not known: its temperature must be stated/,
    },
    {
      when: 'its temperature is beyond the formula',
      has: () => westonAt(40.1),
      hasNot: () => westonAt(39.9),
      severity: 'warn',
      cell: 2,
      says: /holds from 15 to 40 °C, not at 40\.1 °C\.$/,
    },
  ],
};
