import type { Bench } from '../../bench/bench-file.ts';
import { statedEmfV } from '../../bench/stated-emf.ts';
import { message } from '../../messages/catalogue.ts';
import type { ResolvedNull } from '../resolved-null.ts';
import type { Finding } from '../view.ts';

/** Before anything is touched: by the voltmeter the driver must read more than either cell. A null found says that one of the readings is wrong. */
export function voltmeterFindings(bench: Bench, nulls: readonly ResolvedNull[]): Finding[] {
  const driverV = bench.driver?.emfV;
  if (driverV === undefined) return [];
  return ([1, 2] as const).flatMap((cell): Finding[] => {
    const cellV = statedEmfV(bench, cell);
    const found = nulls.some((nullPoint) => nullPoint.labels.cell === cell && nullPoint.rejected === null);
    if (cellV === undefined || cellV < driverV) return [];
    if (found)
      return [
        {
          code: 'meters-disagree',
          severity: 'warn',
          cell,
          ...message('driver-reads-low', { cell, driverV, cellV }),
        },
      ];
    const said = message('driver-reads-less', { cell, driverV, cellV });
    return [{ code: 'driver-below-cell', severity: 'warn', cell, ...said }];
  });
}
