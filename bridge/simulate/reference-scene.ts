import { HAMER_1972, westonEmf } from '../calc-core/weston-cell.ts';
import { COMPARISON, DEFAULT_SCENE, patched } from './default-scene.ts';
import type { Scene } from './scene.ts';

/** The invented bench with a Weston cell as cell 2, at the temperature of the run. No such cell exists. */

const CERTIFICATE = { emf20V: 1.01865, uEmf20V: 2e-5 };
const TEMPERATURE_C = 21.5;
const PROTECTIVE_OHM = 100_000;

/** @param base the bench that it is put on */
export function referenceScene(seed: number, base: Scene = DEFAULT_SCENE): Scene {
  const known = westonEmf({ ...CERTIFICATE, temperatureC: TEMPERATURE_C, uTemperatureC: 0 }, HAMER_1972);
  if (!known.ok) throw new Error(known.text);
  const { emfV } = known;
  const first = base.bench.cells?.['1'];
  const scene = patched(base, {
    seed,
    about: { temperatureC: TEMPERATURE_C },
    apparatus: {
      protectiveOhm: PROTECTIVE_OHM,
      cells: { 2: { emfV, resistanceOhm: 600, driftPercentPerMin: 0 } },
    },
    // The deflection is read from the screen, where a smaller one can be told than by a needle.
    hand: { eyeUa: 0.02 },
    task: {
      ...COMPARISON,
      fine: 'taps',
      referenceCell: { cell: 2, emfToOther: emfV / (first?.voltmeterV ?? 1) },
    },
  });
  const reference = {
    emfV: CERTIFICATE.emf20V,
    standardUncertaintyV: CERTIFICATE.uEmf20V,
    weston: { formula: 'hamer-1972' as const, standardUncertaintyC: 0.5 },
  };
  const cells = { '1': first, '2': { label: 'Weston cell (invented)', reference } };
  return { ...scene, bench: { ...scene.bench, protectiveResistanceOhm: PROTECTIVE_OHM, cells } };
}
