import { statedEmfV } from '../../bench/stated-emf.ts';
import type { Message } from '../../calc-core/message.ts';
import { message } from '../../messages/catalogue.ts';
import { byLength, type DeflectionMap } from '../deflection-map.ts';
import type { Finding } from '../view.ts';
import { CELL_BACK, DRIVER_BACK, LEADS, NO_AMMETER, OPEN, WEAK } from './causes.ts';
import { AMMETER_RELATIVE } from './meters.ts';

/** The galvanometer deflects the same way at both ends: what that can come from. */

/** Share of the wire's length that touches must span to tell a trend. */
const LEAST_SPAN = 0.1;
/** Sizes that differ by less than this share are flat: no more than the wire's own resistance, in series with the branch, makes of one EMF. */
const FLAT = 0.12;

const MIRRORED = message('one-and-other', { one: CELL_BACK, other: LEADS });
const DRIVER_AND_LEADS = message('one-and-other', { one: DRIVER_BACK, other: LEADS });
const OPEN_AND_TURNED = message('one-besides-either', { one: OPEN, other: CELL_BACK, another: LEADS });

/**
 * Same way at both ends. With `e` the cell's EMF and `v` the wire's potential: deflection + and falling is e > v
 * (weak driver), + and flat is v = 0 (open), + and rising is v < 0 (driver reversed), - and growing is e < 0 (cell
 * reversed); swapped leads turn the sign of each.
 */
export function sameSign(map: DeflectionMap): Finding {
  const plus = map.points.some((point) => point.sign === 1);
  const { code, causes } = (plus ? plusVerdict : minusVerdict)(trendOf(map), map.driver, enoughDrop(map));
  const { set, cell } = map;
  return {
    code,
    severity: 'stop',
    set,
    cell,
    ...message('same-sign', { cell, side: plus ? '+' : '-', causes }),
  };
}

interface Verdict {
  code: Finding['code'];
  causes: Message[];
}

type Driver = DeflectionMap['driver'];

type Trend = 'falling' | 'rising' | 'flat' | 'unknown';

/** How the size of the deflection goes from A to B, from unsaturated touches with the same protective resistance. */
function trendOf(map: DeflectionMap): Trend {
  for (const protect of [true, false]) {
    const points = byLength(map.points).filter((point) => point.protect === protect && !point.saturated);
    if (points.length < 2) continue;
    const first = points[0];
    const last = points[points.length - 1];
    if (last.lengthCm - first.lengthCm < LEAST_SPAN * map.wireCm) continue;
    const change = (last.sizeUa - first.sizeUa) / Math.max(first.sizeUa, last.sizeUa);
    if (Math.abs(change) < FLAT) return 'flat';
    return change > 0 ? 'rising' : 'falling';
  }
  return 'unknown';
}

function plusVerdict(trend: Trend, driver: Driver, enough: boolean | null): Verdict {
  if (driver === 'backward') return { code: 'driver-reversed', causes: [DRIVER_BACK] };
  if (trend === 'flat' && driver !== 'flowing') return { code: 'driver-current-none', causes: [OPEN] };
  if (trend === 'rising') return risingPlus(driver);
  if (driver === 'none') {
    if (trend === 'unknown') return { code: 'driver-current-none', causes: [OPEN, DRIVER_BACK] };
    const unmeasured = message('one-with-other', { one: OPEN, other: NO_AMMETER });
    return { code: 'driver-below-cell', causes: [WEAK, unmeasured] };
  }
  if (trend === 'unknown' && enough === true) return { code: 'cell-reversed', causes: [MIRRORED, WEAK] };
  if (trend !== 'unknown') return { code: 'driver-below-cell', causes: [WEAK] };
  const left = driver === 'unknown' ? [WEAK, OPEN, DRIVER_BACK, MIRRORED] : [WEAK, MIRRORED];
  return { code: 'driver-below-cell', causes: left };
}

function risingPlus(driver: Driver): Verdict {
  if (driver === 'none') return { code: 'driver-reversed', causes: [DRIVER_BACK] };
  if (driver === 'flowing') return { code: 'cell-reversed', causes: [MIRRORED] };
  return { code: 'driver-reversed', causes: [DRIVER_BACK, MIRRORED] };
}

function minusVerdict(trend: Trend, driver: Driver, enough: boolean | null): Verdict {
  if (trend === 'flat' && driver !== 'flowing') {
    return { code: 'driver-current-none', causes: [OPEN_AND_TURNED] };
  }
  if (driver === 'backward' || driver === 'none') {
    const both = message('one-and-other', {
      one: DRIVER_BACK,
      other: trend === 'falling' ? CELL_BACK : LEADS,
    });
    const causes = trend === 'unknown' ? [both, OPEN_AND_TURNED] : [both];
    return { code: 'driver-reversed', causes };
  }
  const weakAndTurned = message('one-with-other', { one: WEAK, other: LEADS });
  if (trend === 'falling') return { code: 'driver-below-cell', causes: [weakAndTurned] };
  if (trend === 'rising' || trend === 'flat') {
    const causes = driver === 'flowing' ? [CELL_BACK] : [CELL_BACK, DRIVER_AND_LEADS];
    return { code: 'cell-reversed', causes };
  }
  return { code: 'cell-reversed', causes: enough === true ? [CELL_BACK] : [CELL_BACK, weakAndTurned] };
}

/** Whether the driver current drops enough over the wire for this cell, whatever the meters are off; null where unknown. */
function enoughDrop({ bench, cell, driverMa }: DeflectionMap): boolean | null {
  const emfV = statedEmfV(bench, cell);
  if (emfV === undefined || driverMa === null) return null;
  return (Math.abs(driverMa) / 1000) * bench.wire.resistanceOhm > (1 + AMMETER_RELATIVE) * emfV;
}
