import { expect, it } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { RunFold } from '../../bridge/run/fold.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';

const formulas = await loadFormulas();

function findingsWith(driverV: number): string[] {
  const fold = new RunFold({ formulas });
  const bench = { ...INVENTED_BENCH, driver: { emfV: driverV } };
  fold.accept({ ms: 0, mark: '!', payload: JSON.stringify({ kind: 'bench', bench }) });
  return fold.view().findings.map(({ code, cell }) => `${code} ${cell}`);
}

it('says before the run which cell the driver cannot balance', () => {
  expect(findingsWith(3.06)).not.toContain('driver-below-cell 1');
  expect(findingsWith(1.4)).toContain('driver-below-cell 1');
  expect(findingsWith(1.4)).not.toContain('driver-below-cell 2');
  expect(findingsWith(1.2)).toEqual(expect.arrayContaining(['driver-below-cell 1', 'driver-below-cell 2']));
});
