import { isReference, statedEmfV } from '../../bench/stated-emf.ts';
import type { RunFold } from '../fold.ts';
import type { ResolvedNull } from '../resolve-nulls.ts';
import type { Finding } from '../view.ts';
import { wireJumps } from './broken-wire.ts';
import type { DeflectionMap, MapPoint } from './deflection-map.ts';
import { deflectionMaps } from './deflection-map.ts';

/**
 * The connection check: at the wire's ends the galvanometer must deflect opposite ways. Where it does not, sign,
 * trend along the wire and driver current narrow the fault; what they can't decide is said with every cause left.
 */

/** Ends count as tapped when a touch lies within this share of the wire from each. */
const END_SHARE = 0.2;
/** Sizes that differ by less than this share are flat. */
const FLAT = 0.12;

export function connectionFindings(fold: RunFold, nulls: ResolvedNull[]): Finding[] {
  const maps = deflectionMaps(fold);
  const nullOf = ({ set, cell }: DeflectionMap) =>
    nulls.find((null_) => null_.set === set && null_.labels.cell === cell && null_.rejected === null);
  const judged = maps.flatMap((map) => (nullOf(map) === undefined ? judge(fold, map) : []));
  const findings = [...judged, ...neverDeflected(fold, maps)];
  const swapped = nulls.find(runsBackward);
  if (swapped === undefined) return onceTurned(findings);
  const map = maps.find(({ set, cell }) => set === swapped.set && cell === swapped.labels.cell);
  return onceTurned([turnedAbout(map?.driver ?? 'unknown', ` (${swapped.id})`), ...findings]);
}

/** The leads are swapped once for all sets and cells: said once. */
function onceTurned(findings: Finding[]): Finding[] {
  const first = findings.find(({ code }) => code === 'galvanometer-reversed');
  return findings.filter((finding) => finding.code !== 'galvanometer-reversed' || finding === first);
}

/** - towards A and + towards B: the null is where it would be, and is used. */
function turnedAbout(driver: Driver, where: string): Finding {
  const both = `${DRIVER_BACK} and the cells are too`;
  const reversed = driver === 'none' || driver === 'backward';
  const cause = reversed ? both : driver === 'unknown' ? `${LEADS}; or ${both}` : LEADS;
  return {
    code: reversed ? 'driver-reversed' : 'galvanometer-reversed',
    severity: 'warn',
    text: `The galvanometer goes - towards A and + towards B${where}: ${cause}. The nulls are sound and are used.`,
  };
}

/** Current that grows with the length from A, against the sign the bench file states. */
function runsBackward(null_: ResolvedNull): boolean {
  if (null_.slope === null || null_.lengthCm === null || null_.rejected !== null) return false;
  return null_.slope * null_.sense * null_.touch.bench.bench.galvanometer.microampsPerCount > 0;
}

function judge(fold: RunFold, map: DeflectionMap): Finding[] {
  const signs = new Set(map.points.map((point) => point.sign));
  const where = { set: map.set, cell: map.cell };
  if (!signs.has(1) && !signs.has(-1)) return noDeflection(map, where);
  if (signs.has(1) && signs.has(-1)) return bothSigns(fold, map, where);
  return endsTapped(map) ? sameSign(fold, map, where) : notYet(map, where);
}

type Where = { set: number; cell: number };

const STILL =
  'The galvanometer does not move anywhere on the wire: look for an open branch (jockey lead, galvanometer, ' +
  'two-way key, protective resistance, cell) and for a dead cell.';

function noDeflection(map: DeflectionMap, where: Where): Finding[] {
  if (map.points.length < 2) return [];
  return [{ code: 'no-galvanometer-current', severity: 'stop', ...where, text: STILL }];
}

/** Without a sense of contact a current that never leaves zero is no touch, and may be a lifted jockey's. */
function neverDeflected(fold: RunFold, maps: DeflectionMap[]): Finding[] {
  const { cell, telling } = fold.silence;
  if (!telling || cell === null || maps.some((map) => map.cell === cell)) return [];
  const text = `${STILL} This board does not sense contact, so a lifted jockey would look the same.`;
  return [{ code: 'no-galvanometer-current', severity: 'note', cell, text }];
}

const byLength = (points: MapPoint[]): MapPoint[] =>
  points.filter((point) => point.sign !== 0).sort((a, b) => a.lengthCm - b.lengthCm);

const endsTapped = (map: DeflectionMap): boolean =>
  map.points.some((point) => point.lengthCm < END_SHARE * map.wireCm) &&
  map.points.some((point) => point.lengthCm > (1 - END_SHARE) * map.wireCm);

function notYet(map: DeflectionMap, where: Where): Finding[] {
  if (map.points.length < 3 || isReference(map.bench, map.cell)) return [];
  const text = `Cell ${map.cell}: only one direction of deflection so far. Touch near both ends of the wire, A and B.`;
  return [{ code: 'null-not-bracketed', severity: 'note', ...where, text }];
}

/** Opposite signs without a null: a break in the wire, or simply not swept yet. */
function bothSigns(fold: RunFold, map: DeflectionMap, where: Where): Finding[] {
  const points = byLength(map.points);
  const at = points.findIndex((point, index) => index > 0 && point.sign !== points[index - 1].sign);
  const [before, after] = [points[at - 1], points[at]];
  const between = `${before.lengthCm.toFixed(1)} cm and ${after.lengthCm.toFixed(1)} cm from A`;
  const backward = points[0].sign === -1;
  if (wireJumps(map, points, at)) return broken(where, between, '', []);
  if (map.driver === 'none') {
    const others = backward ? [`${DRIVER_BACK} and this cell too`] : ['the ammeter channel is not connected'];
    return broken(where, between, ' while no driver current flows', others);
  }
  const turned = backward ? [turnedAbout(map.driver, '')] : [];
  return [...turned, notFoundYet(fold, map, where, between, after.lengthCm - before.lengthCm)];
}

function broken(where: Where, between: string, besides: string, others: string[]): Finding[] {
  const text =
    `The deflection jumps from one side to the other between ${between}${besides}: the wire, or a strip that joins ` +
    `two rows, is broken there${others.map((cause) => `; or ${cause}`).join('')}.`;
  return [{ code: 'wire-broken', severity: 'stop', ...where, text }];
}

function notFoundYet(
  fold: RunFold,
  map: DeflectionMap,
  where: Where,
  between: string,
  apartCm: number,
): Finding {
  const saturated = [...fold.refusals].some(
    ([touch, refusals]) => refusals.has('saturated-near-null') && touch.bench === fold.bench,
  );
  if (saturated && apartCm < 5) {
    const text =
      `Cell ${map.cell}: the galvanometer is at the end of its span on both sides of the null, between ${between}. ` +
      'Move more slowly there, or lower the sensitivity.';
    return { code: 'saturated-near-null', severity: 'warn', ...where, text };
  }
  const text = `Cell ${map.cell}: the null lies between ${between} and has not been found closer yet. Sweep slowly or tap there.`;
  return { code: 'null-not-bracketed', severity: 'note', ...where, text };
}

type Trend = 'falling' | 'rising' | 'flat' | 'unknown';

/** How the size of the deflection goes from A to B, from unsaturated touches with the same protective resistance. */
function trendOf(map: DeflectionMap): Trend {
  for (const protect of [true, false]) {
    const points = byLength(map.points).filter((point) => point.protect === protect && !point.saturated);
    if (points.length < 2) continue;
    const first = points[0];
    const last = points[points.length - 1];
    if (last.lengthCm - first.lengthCm < 0.1 * map.wireCm) continue;
    const change = (last.sizeUa - first.sizeUa) / Math.max(first.sizeUa, last.sizeUa);
    if (Math.abs(change) < FLAT) return 'flat';
    return change > 0 ? 'rising' : 'falling';
  }
  return 'unknown';
}

const WEAK =
  'the driver is too weak for this cell over the whole wire (raise the driver current: less rheostat resistance, a fresh driver cell)';
const OPEN = 'no driver current flows (key open, rheostat or a lead loose)';
const DRIVER_BACK = 'the driver cell is reversed';
const CELL_BACK = 'this cell is reversed';
const LEADS = "the galvanometer's leads are swapped against the bench file";

/**
 * Same way at both ends. With `e` the cell's EMF and `v` the wire's potential: deflection + and falling is e > v
 * (weak driver), + and flat is v = 0 (open), + and rising is v < 0 (driver reversed), - and growing is e < 0 (cell
 * reversed); swapped leads turn the sign of each.
 */
function sameSign(fold: RunFold, map: DeflectionMap, where: Where): Finding[] {
  const plus = map.points.some((point) => point.sign === 1);
  const verdict = (plus ? plusVerdict : minusVerdict)(trendOf(map), map.driver, enoughDrop(fold, map));
  const side = plus ? '+' : '-';
  const [first, ...others] = verdict.causes;
  const text =
    `Cell ${map.cell} deflects ${side} at both ends of the wire: ${first}` +
    `${others.map((cause) => `; or ${cause}`).join('')}.`;
  return [{ code: verdict.code, severity: 'stop', ...where, text }];
}

interface Verdict {
  code: Finding['code'];
  causes: string[];
}

type Driver = DeflectionMap['driver'];

function plusVerdict(trend: Trend, driver: Driver, enough: boolean | null): Verdict {
  if (driver === 'backward') return { code: 'driver-reversed', causes: [DRIVER_BACK] };
  if (trend === 'flat' && driver !== 'flowing') return { code: 'driver-current-none', causes: [OPEN] };
  if (trend === 'rising') return risingPlus(driver);
  if (driver === 'none') {
    if (trend === 'unknown') return { code: 'driver-current-none', causes: [OPEN, DRIVER_BACK] };
    return { code: 'driver-below-cell', causes: [WEAK, `${OPEN}, and the ammeter channel is not connected`] };
  }
  const mirrored = `${CELL_BACK} and ${LEADS}`;
  if (trend === 'unknown' && enough === true) return { code: 'cell-reversed', causes: [mirrored, WEAK] };
  if (trend !== 'unknown') return { code: 'driver-below-cell', causes: [WEAK] };
  const left = driver === 'unknown' ? [WEAK, OPEN, DRIVER_BACK, mirrored] : [WEAK, mirrored];
  return { code: 'driver-below-cell', causes: left };
}

function risingPlus(driver: Driver): Verdict {
  const mirrored = `${CELL_BACK} and ${LEADS}`;
  if (driver === 'none') return { code: 'driver-reversed', causes: [DRIVER_BACK] };
  if (driver === 'flowing') return { code: 'cell-reversed', causes: [mirrored] };
  return { code: 'driver-reversed', causes: [DRIVER_BACK, mirrored] };
}

function minusVerdict(trend: Trend, driver: Driver, enough: boolean | null): Verdict {
  if (trend === 'flat' && driver !== 'flowing') {
    return { code: 'driver-current-none', causes: [`${OPEN}, and besides ${CELL_BACK} or ${LEADS}`] };
  }
  if (driver === 'backward' || driver === 'none') {
    const both = `${DRIVER_BACK} and ${trend === 'falling' ? CELL_BACK : LEADS}`;
    const causes = trend === 'unknown' ? [both, `${OPEN}, and besides ${CELL_BACK} or ${LEADS}`] : [both];
    return { code: 'driver-reversed', causes };
  }
  const mirrored = `${WEAK}, and ${LEADS}`;
  if (trend === 'falling') return { code: 'driver-below-cell', causes: [mirrored] };
  if (trend === 'rising' || trend === 'flat') {
    const causes = driver === 'flowing' ? [CELL_BACK] : [CELL_BACK, `${DRIVER_BACK} and ${LEADS}`];
    return { code: 'cell-reversed', causes };
  }
  return { code: 'cell-reversed', causes: enough === true ? [CELL_BACK] : [CELL_BACK, mirrored] };
}

/** Whether the driver current drops enough over the wire for this cell, by the voltmeter; null where unknown. */
function enoughDrop(fold: RunFold, map: DeflectionMap): boolean | null {
  const bench = fold.bench?.bench;
  const emf = bench === undefined ? undefined : statedEmfV(bench, map.cell);
  if (bench === undefined || emf === undefined || map.driverMa === null) return null;
  return (Math.abs(map.driverMa) / 1000) * bench.wire.resistanceOhm > 1.1 * emf;
}
