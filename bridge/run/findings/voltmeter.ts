import type { Bench } from '../../bench/bench-file.ts';
import { statedEmfV } from '../../bench/stated-emf.ts';
import { say } from '../../words/words.ts';
import type { ResolvedNull } from '../resolve-nulls.ts';
import type { Finding } from '../view.ts';

/** Before anything is touched: by the voltmeter the driver must read more than either cell. A null found says that one of the readings is wrong. */
export function voltmeterFindings(bench: Bench, nulls: readonly ResolvedNull[]): Finding[] {
  const driverV = bench.driver?.emfV;
  if (driverV === undefined) return [];
  return ([1, 2] as const).flatMap((cell): Finding[] => {
    const cellV = statedEmfV(bench, cell);
    const found = nulls.some((null_) => null_.labels.cell === cell && null_.rejected === null);
    if (cellV === undefined || cellV < driverV) return [];
    if (found)
      return [
        {
          code: 'meters-disagree',
          severity: 'warn',
          cell,
          ...say('driver-reads-low', { cell, driverV, cellV }),
        },
      ];
    const said = say('driver-reads-less', { cell, driverV, cellV });
    return [{ code: 'driver-below-cell', severity: 'warn', cell, ...said }];
  });
}
